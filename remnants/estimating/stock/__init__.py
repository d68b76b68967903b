"""What can pieces in stock give, which shall give it, and what is left over?"""

__all__: list[str] = []
