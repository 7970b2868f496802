"""Names where it is unsure which notes sound: sums over the sets that may be sounding."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.harmony import rank_names, rank_names_of_sets
from tests.harmony.test_naming import read_pitches


def test_a_name_is_as_probable_as_the_sets_that_it_names_exactly() -> None:
    triad, sixth, other = read_pitches("C3 E3 G3"), read_pitches("C3 E3 G3 A3"), read_pitches("C3 F3 A3")
    names = {name.text: name.probability for name in rank_names_of_sets([(triad, 0.6), (sixth, 0.3), (other, 0.1)])}
    assert list(names)[:3] == ["C", "C6", "Am7/C"]
    assert names["C6"] == names["Am7/C"] == pytest.approx(0.3)
    assert names["F/C"] == pytest.approx(0.1)


def test_every_exact_reading_of_the_likeliest_set_comes_before_names_of_unlikely_sets() -> None:
    suspended, other = read_pitches("C3 F3 G3"), read_pitches("C3 Eb3 G3")
    names = [name.text for name in rank_names_of_sets([(suspended, 0.9), (other, 0.1)])]
    assert names[:2] == ["Csus4", "Fsus2/C"]
    assert names.index("Cm") > 1


def test_one_certain_set_is_named_in_the_order_of_the_set_itself() -> None:
    pitches = read_pitches("x20010")
    exact = [name.text for name in rank_names(pitches) if not name.missing and not name.unexplained]
    assert [name.text for name in rank_names_of_sets([(pitches, 1.0)])][: len(exact)] == exact


@pytest.mark.parametrize(("notes", "name"), [("xx3455", "Fmaj7#11"), ("C3 D3 F3", "Dm7/C"), ("C3 G3 A3", "C6(no3)")])
def test_the_plainest_name_of_a_set_is_not_beaten_by_one_that_leaves_less_out(notes: str, name: str) -> None:
    for weight in (1.0, 0.95):
        of_sets = rank_names_of_sets([(read_pitches(notes), weight)])
        assert of_sets[0].text == rank_names(read_pitches(notes))[0].text == name


@pytest.mark.parametrize(
    ("notes", "fifth", "name"),
    [("D3 C4 E4 G4", "G4", "C/D"), ("G2 F3 A3 C4", "C4", "F/G"), ("B2 A3 C#4 E4", "E4", "A/B")],
)
def test_a_triad_over_a_bass_of_its_own_stays_so_where_its_fifth_was_hardly_heard(
    notes: str, fifth: str, name: str
) -> None:
    """Cadd9/D may be without its fifth, so it was whole in one more set than C/D: a D pedal under C was called so."""
    pitches = read_pitches(notes)
    faint = tuple(pitch for pitch in pitches if pitch.name != fifth)
    sets = [(pitches, 0.85), (faint, 0.08)]
    assert rank_names_of_sets(sets)[0].text == rank_names(pitches)[0].text == name
    assert rank_names_of_sets([(pitches, 0.4), (faint, 0.55)])[0].text == f"{name.replace('/', 'add9/')}"


def test_octave_doublings_do_not_split_a_name() -> None:
    sets = [(read_pitches("C3 E3 G3"), 0.5), (read_pitches("C3 E3 G3 C4"), 0.3), (read_pitches("C3 E3 G3 E4"), 0.2)]
    assert rank_names_of_sets(sets)[0].probability > 0.98


@pytest.mark.parametrize("weights", [(0.8, 0.3), (-0.1, 0.5)])
def test_weights_that_are_no_probabilities_are_refused(weights: tuple[float, float]) -> None:
    with pytest.raises(BadValueError, match="sum to at most 1"):
        rank_names_of_sets([(read_pitches("C3 E3 G3"), weights[0]), (read_pitches("C3 F3 A3"), weights[1])])


def test_of_names_as_probable_to_a_hundredth_the_plainest_comes_first_wherever_rounding_falls() -> None:
    sets = [(read_pitches("A#2 G3 D4 F4"), 0.9945), (read_pitches("A#2 G3 F4"), 0.0012)]
    assert [name.text for name in rank_names_of_sets(sets, limit=2)] == ["Bb6", "Gm7/Bb"]
