"""What a plan needs on the floor beside carpet: order of cuts and of work, materials by stated rules, cautions. Pure."""

__all__: list[str] = []
