"""A customer who has carpet that we may ask for one day: a reference, and no more than calling them takes."""

from dataclasses import dataclass

from remnants.errors import BadInput, Fault

__all__ = ["Customer"]


@dataclass(frozen=True, slots=True)
class Customer:
    """`reference` is the shop's own (a job or file number), or a word such as `erased-1` for one who was forgotten.

    `may_call` is their consent.
    """

    reference: str
    name: str = ""
    phone: str = ""
    address: str = ""
    may_call: bool = False

    def __post_init__(self) -> None:
        if not self.reference.strip():
            raise BadInput([Fault("reference", "the customer needs a reference, such as a file number")])

    @property
    def known(self) -> bool:
        """Whether anything is known beside the reference."""
        return bool(self.name or self.phone or self.address)
