"""Which laying for each room, so that all together take least roll; and what no choice goes below?"""

__all__: list[str] = []
