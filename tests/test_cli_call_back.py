"""`remnants call-back`: what is on the way lies where it lay."""

from tests.commands import Remnants
from tests.test_cli_take_in import on_its_way


def test_what_is_called_back_lies_where_it_lay(remnants: Remnants) -> None:
    on_its_way(remnants, "R-1")
    assert remnants.ok("call-back", "r-1") == "R-1 is called back to Bay 3\n"
    assert "in stock" in remnants.ok("show", "R-1")
    assert "called back" in remnants.ok("history", "R-1")
    assert "R-1 is in stock: it can't be called back" in remnants.refused("call-back", "R-1", code=1)
