"""What is said of a card on the way to leaving it out."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from vision.errors import Finding
from vision.geometry import settle
from vision.geometry.card_doubts import CardDoubt
from vision.geometry.settle import ONE_SIDE, Settled


def test_a_side_of_a_card_that_is_left_out_holds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Card 3 goes: what was said of its side is a note; the side of card 1, which stays, still holds the order."""
    said = [Finding("card-bent", f"The left {ONE_SIDE.format(n)} is 5.1 px off.", "Press it.") for n in (1, 3)]
    assembly: Any = SimpleNamespace(models={1: 0, 3: 1})
    solution: Any = SimpleNamespace()
    now = Settled((), assembly, solution, tuple(said))
    monkeypatch.setattr(settle, "_told", lambda now, *_args, **_holds: now)
    monkeypatch.setattr(settle, "_words", lambda *_: "card 3 contradicts the rest of the photo")
    monkeypatch.setattr(settle, "_solved", lambda _photos, _again, findings: findings)
    left = settle._left_out(now, CardDoubt(1, "size", 0.1, 0.01), lambda _: assembly)
    assert [(f.text, f.holds) for f in left] == [(said[0].text, True), (said[1].text, False)]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("sizes", "seems", "said"),
    [
        (((210.0, 296.5), (211.0, 298.5)), 0.006, True),
        (((210.0, 296.5), (211.0, 298.5)), -0.006, False),
        (((210.0, 297.0), (210.1, 297.0)), 0.006, False),
        (((210.0, 296.5), None), 0.006, False),
    ],
    ids=["each seems the other", "seems smaller yet", "as good as the same", "one is not measured"],
)
def test_measured_lengths_that_may_have_changed_places_are_asked_about(sizes: Any, seems: float, said: bool) -> None:
    """Card 1 contradicts, as if it were larger; the other's stated lengths are the larger ones."""
    kind = SimpleNamespace(name="a4")
    cards = [SimpleNamespace(number=n, spec=SimpleNamespace(kind=kind, size_mm=size)) for n, size in enumerate(sizes, 1)]
    now: Any = SimpleNamespace(photos=[SimpleNamespace(used=cards)], assembly=SimpleNamespace(models={1: 0, 2: 1}))
    worst = CardDoubt(0, "off", 20.0, 2.0)
    words = settle._swapped(now, worst, [worst, CardDoubt(0, "size", seems, 0.001)])
    assert ("the wrong way round" in words) is said
