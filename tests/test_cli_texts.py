"""`remnants texts`: the text templates, copied for the shop to change, and never over its own."""

from tests.commands import Remnants


def test_templates_are_copied_and_what_is_there_stays(remnants: Remnants) -> None:
    folder = remnants.folder / "ours"
    remnants.ok("texts", folder)
    assert sorted(path.name for path in folder.iterdir()) == ["agreement.txt", "care.txt", "customer.txt"]
    assert "$seams" in (folder / "customer.txt").read_text()
    (folder / "care.txt").write_text("ours")
    (folder / "agreement.txt").unlink()
    told = remnants.ok("texts", folder)
    assert "Left as they are: care.txt, customer.txt" in told
    assert (folder / "care.txt").read_text() == "ours"
    assert (folder / "agreement.txt").exists()


def test_a_folder_that_can_not_be_made_is_refused(remnants: Remnants) -> None:
    (remnants.folder / "ours").write_text("a file")
    assert "can't be made" in remnants.refused("texts", remnants.folder / "ours", code=2)
