"""How is one patch made from what is left of the donors? Its parts, where its seams can lie, how it looks, the best way."""

__all__: list[str] = []
