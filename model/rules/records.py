"""Splices judged by their records: what they read both ways, what is only one way, who made them and how often.

A reading one way shows the fibres as much as the joint, so the mean of both directions is judged where there is one
(formula F14), and a gain one way is never taken as real. What concerns many joints alike is said once for each tray.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from model.entities import Attempt, Reading, Splice
from model.numbers import to_text
from model.optics.readings import NOISE_DB, best_attempt, estimate_db, rises, times_made
from model.rules import examples as ex
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule
from model.rules.splices import row_text

SLOP_DB = 1e-9
_ESTIMATE = Reading(0, "estimate", 0.02)


def _tray_by_tray(context: Context, splices: Iterable[Splice], limit: float, words: str) -> Iterator[Found]:
    """One finding for each tray that holds some of these; ``words`` take ``is`` or ``are`` for ``{is_}``."""
    found: dict[str, list[Splice]] = {}
    for splice in splices:
        found.setdefault(splice.tray or context.site, []).append(splice)
    for key, held in sorted(found.items()):
        if len(held) <= limit:
            continue
        tray = context.plant.table("trays").get(key)
        slots = to_text(sorted({splice.slot for splice in held if splice.slot is not None}))
        where = f" on tray {tray.name}" if tray else " on no tray"
        where += f" slot{'s' * (len(held) != 1)} {slots}" if slots else ""
        one = len(held) == 1
        said = words.format(is_="is" if one else "are", it="it" if one else "them")
        yield Found((key,), f"{len(held)} joint{'s' * (not one)} at {context.name}{where} {said}", len(held), limit)


def _done(context: Context) -> list[Splice]:
    return [splice for splice in context.splices if splice.status == "done"]


@rule(
    "splice.loss",
    "error",
    title="No splice loses too much",
    reason="A splice that loses this much is misaligned, dirty or under stress, and gets worse.",
    basis="owner acceptance tables, 0.20 dB at 1550 nm for any splice",
    limit=0.20,
    unit="dB",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(0.28, -0.16)),
    bad=lambda: ex.with_splice(ex.clean(), 13, measured=(Reading(1550, "A-B", 0.28),), status="existing"),
)
def splice_loss(context: Context, limit: float) -> Iterator[Found]:
    """Splices whose true loss is above the limit; where it is not known, their reading one way or their estimate."""
    for splice, read in context.read:
        judged = [(at.mean_db, f"over both directions, {at.wavelength_nm} nm") for at in read if at.mean_db is not None]
        if not judged:
            ways = [at.one_way for at in read if at.one_way]
            judged = [
                (way[1], f"{way[0]} only, {at.wavelength_nm} nm")
                for at, way in zip((a for a in read if a.one_way), ways, strict=True)
            ]
            estimate = estimate_db(splice.measured)
            judged += [(estimate, "the splicer's estimate")] if estimate is not None else []
        worst, words = max(judged, default=(0.0, ""))
        if worst > limit + SLOP_DB:
            yield Found(
                (splice.id,),
                f"{row_text(context, splice)} at {context.name} loses {worst:.2f} dB ({words}), at most {limit:.2f} dB",
                worst,
                limit,
            )


@rule(
    "splice.mean",
    "warning",
    title="The mean of a splice's two directions is low enough",
    reason="Only the mean of both directions is the real loss of a splice.",
    basis="an owner's acceptance table: 0.1 dB averaged over both directions",
    limit=0.10,
    unit="dB",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(0.15, 0.01)),
    bad=lambda: ex.made(ex.clean(), *ex.both_ways(0.17, 0.11)),
)
def splice_mean(context: Context, limit: float) -> Iterator[Found]:
    """Splices whose mean over both directions at one wavelength is above the limit."""
    for splice, read in context.read:
        for at in read:
            if at.mean_db is not None and at.mean_db > limit + SLOP_DB:
                yield Found(
                    (splice.id, f"{at.wavelength_nm} nm"),
                    f"{row_text(context, splice)} at {context.name} means {at.mean_db:.3f} dB over both directions at "
                    f"{at.wavelength_nm} nm, at most {limit:.2f} dB",
                    at.mean_db,
                    limit,
                )


@rule(
    "splice.gain",
    "warning",
    title="No gain is taken as real",
    reason="Glass does not amplify, so a reading below zero shows unlike fibres, and the true loss is not known yet.",
    basis="measurement practice: the mean of both directions is the loss (formula F14)",
    limit=0.0,
    unit="dB",
    worse="less",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(-0.20, 0.30)),
    bad=lambda: ex.with_splice(ex.clean(), 13, measured=(Reading(1550, "A-B", -0.20),), status="existing"),
)
def splice_gain(context: Context, limit: float) -> Iterator[Found]:
    """Gains read one way without the other; and means of both directions too far below zero to be noise."""
    for splice, read in context.read:
        for at in read:
            if at.one_way and at.one_way[1] < limit - SLOP_DB:
                way, db = at.one_way
                other = "B-A" if way == "A-B" else "A-B"
                yield Found(
                    (splice.id, f"{at.wavelength_nm} nm"),
                    f"{row_text(context, splice)} at {context.name} shows an apparent gain of {-db:.2f} dB {way} at "
                    f"{at.wavelength_nm} nm: this is the difference of the fibres, read {other} too",
                    db,
                    limit,
                )
            elif at.mean_db is not None and at.mean_db < limit - NOISE_DB - SLOP_DB:
                yield Found(
                    (splice.id, f"{at.wavelength_nm} nm"),
                    f"{row_text(context, splice)} at {context.name} means {at.mean_db:.3f} dB over both directions at "
                    f"{at.wavelength_nm} nm: no joint amplifies, measure it again",
                    at.mean_db,
                    limit,
                )


@rule(
    "splice.rise",
    "error",
    title="Sealing the enclosure does not raise the loss of a splice",
    reason="A loss that rises on closing shows a pinched fibre or a bend too tight, and gets worse in the cold.",
    basis="RUS acceptance procedure for fibre splice closures: a rise of more than 0.1 dB is a failure",
    limit=0.10,
    unit="dB",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(0.02, 0.04), *ex.both_ways(0.07, 0.05, sealed=True)),
    bad=lambda: ex.made(ex.clean(), *ex.both_ways(-0.06, -0.02), *ex.both_ways(0.05, 0.09, sealed=True)),
)
def splice_rise(context: Context, limit: float) -> Iterator[Found]:
    """Splices that read more than the limit more, sealed than open, between means or within one direction."""
    for splice, _ in context.read:
        if not any(reading.sealed for reading in splice.measured):
            continue
        for nm, how, db in rises(splice):
            if db > limit + SLOP_DB:
                yield Found(
                    (splice.id, f"{nm} nm {how}"),
                    f"{row_text(context, splice)} at {context.name} rose by {db:.2f} dB at {nm} nm "
                    f"({'mean of both directions' if how == 'mean' else how}) when the enclosure was sealed, at most "
                    f"{limit:.2f} dB: open it and look for a pinch",
                    db,
                    limit,
                )


@rule(
    "splice.one_way",
    "note",
    title="A splice that is done is read in both directions",
    reason="One direction shows the difference of the fibres as much as the joint, so the planned loss still counts.",
    basis="measurement practice: the mean of both directions is the loss (formula F14)",
    limit=0,
    unit="joints",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(0.06, 0.02)),
    bad=lambda: ex.made(ex.clean(), Reading(1550, "A-B", 0.06)),
)
def splice_one_way(context: Context, limit: float) -> Iterator[Found]:
    """Done splices with a wavelength read one way only; a gain has a finding of its own."""
    some = [
        s for s, read in context.read if s.status == "done" and any(at.one_way and at.one_way[1] >= 0 for at in read)
    ]
    yield from _tray_by_tray(context, some, limit, "{is_} read one way only: read {it} from the other end too")


@rule(
    "splice.estimate",
    "note",
    title="A splice that is done is measured",
    reason="The splicer reckons its estimate from the picture of the fibres, which does not see stress or dirt.",
    basis=PRACTICE,
    limit=0,
    unit="joints",
    good=lambda: ex.made(ex.clean(), _ESTIMATE, *ex.both_ways(0.06, 0.02)),
    bad=lambda: ex.made(ex.clean(), _ESTIMATE),
)
def splice_estimate(context: Context, limit: float) -> Iterator[Found]:
    """Done splices with the splicer's estimate and no reading."""
    some = [s for s in _done(context) if s.measured and all(r.direction == "estimate" for r in s.measured)]
    yield from _tray_by_tray(context, some, limit, "{is_} known by the splicer's estimate only: measure {it}")


@rule(
    "splice.unsigned",
    "warning",
    title="A splice that is done has initials and a date",
    reason="A record nobody signed cannot be asked about when the joint fails.",
    basis=PRACTICE,
    limit=0,
    unit="joints",
    good=lambda: ex.made(ex.clean()),
    bad=lambda: ex.made(ex.clean(), done_on=""),
)
def splice_unsigned(context: Context, limit: float) -> Iterator[Found]:
    """Done splices without initials or date."""
    some = [s for s in _done(context) if not (s.done_by and s.done_on)]
    yield from _tray_by_tray(context, some, limit, "{is_} done without initials or date")


@rule(
    "splice.attempts",
    "warning",
    title="A joint is made in three tries at most",
    reason="Each try takes length off both tails, and what three good cleaves do not mend lies in the fibres.",
    basis=PRACTICE,
    limit=3,
    unit="tries",
    good=lambda: ex.made(ex.clean(), attempts=(Attempt(), Attempt())),
    bad=lambda: ex.made(ex.clean(), attempts=(Attempt(), Attempt(), Attempt())),
)
def splice_attempts(context: Context, limit: float) -> Iterator[Found]:
    """Splices made more often than the limit."""
    for splice in context.splices:
        made = times_made(splice) if splice.attempts else 0
        if made > limit:
            yield Found(
                (splice.id,),
                f"{row_text(context, splice)} at {context.name} was made {made} times, at most {limit:g}: "
                "check cleaver, arc and the length left on both tails",
                made,
                limit,
            )


@rule(
    "splice.kept",
    "note",
    title="The joint that is kept is the best of its tries",
    reason="Of several tries the best is to be kept, and one broken open cannot be gone back to.",
    basis=PRACTICE,
    limit=0.0,
    unit="dB",
    good=lambda: ex.made(ex.clean(), *ex.both_ways(0.03, 0.03), attempts=(Attempt(ex.both_ways(0.08, 0.06)),)),
    bad=lambda: ex.made(ex.clean(), *ex.both_ways(0.08, 0.06), attempts=(Attempt(ex.both_ways(0.03, 0.03)),)),
)
def splice_kept(context: Context, limit: float) -> Iterator[Found]:
    """Splices worse than a try that was broken open, by more than the limit."""
    for splice in context.splices:
        best = best_attempt(splice) if splice.attempts else None
        if best is not None and best[2] - best[1] > limit + SLOP_DB:
            number, best_db, now_db = best
            yield Found(
                (splice.id,),
                f"{row_text(context, splice)} at {context.name} is kept with {now_db:.2f} dB, though try {number} "
                f"was better with {best_db:.2f} dB",
                now_db - best_db,
                limit,
            )


RULES = (
    splice_loss,
    splice_mean,
    splice_gain,
    splice_rise,
    splice_one_way,
    splice_estimate,
    splice_unsigned,
    splice_attempts,
    splice_kept,
)
