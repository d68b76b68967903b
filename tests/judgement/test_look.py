"""What will be seen, and which right answer is preferred, where a master repairer would not hesitate; as in `test_choice.py`.

Common practice, no source, unless a case says otherwise.
"""

from remnants.model import Lab
from tests.judgement.shop import FLOOR, LOOP, ask, patch, piece

WEAVE = "Aldern Weave"


def lab(delta: float) -> Lab:
    """A shade that is so far lighter than the floor."""
    return Lab(FLOOR.lightness + delta, FLOOR.a, FLOOR.b)


def test_of_two_pieces_of_another_lot_the_less_worn_one_is_taken_though_both_may_show_plainly() -> None:
    """What is shown stops at 3; what is compared goes on: 1 to 4 against 2 to 5."""
    answer = ask(piece("R-1", lot="L2", worn=2), piece("R-2", lot="L2", worn=1))
    assert answer.chosen == {"R-2"} and answer.seen("shade") == [(1, 3)]


def test_two_steps_of_wear_make_even_the_best_case_worse() -> None:
    """One step may not be seen, 0 to 2; a second one is, 1 to 3."""
    assert ask(piece("R-1", worn=1)).seen("shade") == [(0, 2)]
    assert ask(piece("R-1", worn=2)).seen("shade") == [(1, 3)]


def test_another_lot_is_better_than_a_substitute() -> None:
    """1 to 3 against 2 to 3."""
    both = piece("R-1", style="Corran Twist"), piece("R-2", lot="L2")
    assert ask(*both, patches=(patch(substitute=True),)).chosen == {"R-2"}


def test_another_style_is_no_answer_unless_the_job_takes_substitutes() -> None:
    """Nobody lays other carpet without being asked to."""
    assert ask(piece("R-1", style="Corran Twist")).verdict == "none"
    assert ask(piece("R-1", style="Corran Twist"), patches=(patch(substitute=True),)).verdict == "whole"


def test_a_shade_measured_near_the_floors_makes_up_for_a_lot_that_nobody_knows() -> None:
    """Grey scale 4-5 and better (ISO 105-A02) is grade 0, whatever the label lost."""
    answer = ask(piece("R-1", lot="", lab=lab(0.3)), piece("A-2", lot=""), patches=(patch(lab=FLOOR),))
    assert answer.chosen == {"R-1"} and answer.seen("shade") == [(0, 0)]


def test_of_two_measured_pieces_of_one_lot_the_nearer_is_taken() -> None:
    """ISO 105-A02: 1.5 is grade 4 at worst, 3.0 grade 3."""
    pieces = piece("A-1", lot="L2", lab=lab(3.0)), piece("R-2", lot="L2", lab=lab(1.5))
    assert ask(*pieces, patches=(patch(lab=FLOOR),)).chosen == {"R-2"}


def test_two_fair_patches_are_better_than_a_perfect_one_and_a_bad_one() -> None:
    """Rooms worn 0 and 1, pieces worn 1 and 2: each a step off (0 to 2 twice), or one right and one two steps off (1 to 3)."""
    rooms = (patch(name="a", room="hall", worn=0, parts=1), patch(name="b", room="stairs", worn=1, parts=1))
    answer = ask(piece("R-1", 33, 43, worn=1), piece("R-2", 33, 43, worn=2), patches=rooms)
    cut = {plan.name: plan.parts[0].piece for plan in answer.fitted.plan.patches}
    assert cut == {"a": "R-1", "b": "R-2"}


def test_both_patches_are_filled_though_one_will_show() -> None:
    """More patches filled comes first."""
    rooms = (patch(name="a", room="hall"), patch(name="b", room="stairs"))
    answer = ask(piece("R-1", 33, 43), piece("R-2", 33, 43, lot="L2"), patches=rooms)
    assert answer.verdict == "whole" and answer.chosen == {"R-1", "R-2"}


def test_what_can_not_be_helped_in_one_room_does_not_spoil_the_choice_in_the_other() -> None:
    """The stairs will show whatever is done; the hall still gets the right lot and not the handy one."""
    rooms = (patch(name="a", room="hall"), patch(name="b", room="stairs", colour="Slate"))
    slate = piece("S-1", colour="Slate", lot="L9", worn=3)
    assert ask(slate, piece("A-1", 33, 43, lot="L2"), piece("R-1", 140, 300), patches=rooms).chosen == {"S-1", "R-1"}


def test_two_carpets_in_one_patch_are_told_at_their_seam_and_not_once_more() -> None:
    """Each beside the floor, and the seam where two lots meet: two points."""
    answer = ask(piece("R-1", 20, 44), piece("R-2", 20, 44, lot="L2"))
    assert len(answer.seen("shade")) == 2
    assert answer.seen("seam") == [(2, 2)]


def test_two_carpets_in_one_room_are_seen_together() -> None:
    """Each beside the floor, and each beside the other."""
    both = (patch(name="a", room="hall", parts=1), patch(name="b", room="hall", parts=1))
    assert len(ask(piece("R-1", 33, 43), piece("R-2", 33, 43, lot="L2"), patches=both).seen("shade")) == 3


def test_the_seam_runs_with_the_light_that_falls_along_the_floor() -> None:
    """CRI 2011 §6.2: not across the light. Light from the side and pile at odds: points alike, then the shorter seam."""
    side, cross = [piece("S-1", 20, 44), piece("S-2", 20, 44)], [piece("C-1", 34, 26), piece("C-2", 34, 26)]
    assert ask(*cross, *side, patches=(patch(light=90.0),)).chosen == {"C-1", "C-2"}
    assert ask(*cross, *side, patches=(patch(light=0.0),)).chosen == {"S-1", "S-2"}


def test_a_woven_patch_shows_even_along_its_pile() -> None:
    """No pile closes over the joint: along it a point, seen when looked for."""
    answer = ask(piece("R-1", style=WEAVE), patches=(patch(style=WEAVE, edges="seam"),))
    assert min(answer.seen("seam")) == (1, 1)


def test_cut_pile_hides_its_seams_along_the_pile() -> None:
    """Two sides along it, hard to find; two across, seen when looked for."""
    answer = ask(piece("R-1"), patches=(patch(edges="seam"),))
    assert sorted(answer.seen("seam")) == [(0, 0), (0, 0), (1, 1), (1, 1)]


def test_a_piece_whose_pile_runs_across_it_is_laid_so_that_its_pile_runs_with_the_room() -> None:
    """CRI 105 §5.2: the pile lays the same way. 44 across by 34 along its own sides is 34 by 44 with the pile."""
    answer = ask(piece("R-1", 44, 34, pile=90.0), patches=(patch(edges="seam"),))
    assert answer.verdict == "whole"
    assert sorted(answer.seen("seam")) == [(0, 0), (0, 0), (1, 1), (1, 1)], "no point for a turned pile"


def test_three_parts_are_no_answer_where_the_job_takes_two() -> None:
    """More seams than were agreed are not laid unasked."""
    strips = [piece(f"R-{number}", 14, 44) for number in (1, 2, 3)]
    assert ask(*strips).verdict == "none"
    assert ask(*strips, patches=(patch(parts=3),)).verdict == "joined"


def test_the_smaller_of_two_large_remnants_is_cut() -> None:
    """A large piece does what no small one can; what each would lose of that is compared: 0.8 m² of worth against 1.2."""
    assert ask(piece("A-1", 140, 300), piece("R-1", 60, 80)).chosen == {"R-1"}


def test_loops_joined_along_their_rows_show_when_looked_for() -> None:
    """One point: a loop can't be brushed over its neighbour."""
    answer = ask(piece("R-1", 20, 44, style=LOOP), piece("R-2", 20, 44, style=LOOP), patches=(patch(style=LOOP),))
    assert answer.seen("seam") == [(1, 1)]
