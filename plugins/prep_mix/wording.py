"""What is said of a batch, alike on the screen, on paper and on the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from prep.ounces import GRAMS_PER_OUNCE, ML_PER_US_FLUID_OUNCE, reads_ounces
from prep.phrases import several
from prep.weighing import least_dose_g
from prep_mix.batch import OFF_TELLS, Batch, Row, TooSmall, share_taken
from prep_mix.recipes import Mixable

HARMLESS = (
    "Water-based does not mean harmless: read the suppliers' safety data sheets first, they come before"
    " what is said here. Pots, spoons and balances for ink are never used for food again."
)
LARGEST_BATCH_G = 1e5
"""No batch larger than this is proposed. Our choice."""


@dataclass(frozen=True, slots=True)
class Units:
    """How masses and volumes are written: as the balance shows them, and as the shop reads them.

    :param step_g: what the balance shows at least
    :param inch: ounces by weight and fluid ounces are read here
    """

    step_g: float
    inch: bool

    @property
    def ounces(self) -> bool:
        """Whether the balance shows ounces."""
        return reads_ounces(self.step_g)

    @property
    def mass_unit(self) -> str:
        """What the balance shows, as it is called."""
        return "oz by weight" if self.ounces else "g"

    @property
    def volume_unit(self) -> str:
        """What volumes are told in."""
        return "fl oz" if self.inch or self.ounces else "ml"

    def shown(self, grams: float) -> str:
        """Write a mass as the balance shows it, without its unit."""
        unit = GRAMS_PER_OUNCE if self.ounces else 1.0
        return f"{grams / unit:.{_places(self.step_g / unit)}f}"

    def other(self, grams: float) -> str:
        """Write a mass in the unit that the balance doesn't show, without its unit."""
        if self.ounces:
            return f"{grams:.{1 if grams < 100 else 0}f}"
        return f"{grams / GRAMS_PER_OUNCE:.2f}"

    @property
    def other_unit(self) -> str:
        """The unit that the balance doesn't show; empty where nobody reads it."""
        if self.ounces:
            return "g"
        return "oz by weight" if self.inch else ""

    def mass(self, grams: float) -> str:
        """Write a mass on the balance with its unit, and in the other unit where that is read."""
        text = f"{self.shown(grams)} {self.mass_unit}"
        return f"{text} ({self.other(grams)} {self.other_unit})" if self.other_unit else text

    @property
    def target_head(self) -> str:
        """Head of a column of masses: with units where there are two, or a long one."""
        if not self.ounces and not self.other_unit:
            return "Target"
        return f"Target, {self.mass_unit}" + (f" ({self.other_unit})" if self.other_unit else "")

    def target(self, grams: float) -> str:
        """Write a mass in the column of this head."""
        if not self.ounces and not self.other_unit:
            return self.mass(grams)
        return self.shown(grams) + (f" ({self.other(grams)})" if self.other_unit else "")

    def short(self, grams: float) -> str:
        """Write a mass that need not be on the balance, in its unit alone, to three digits or whole."""
        unit = GRAMS_PER_OUNCE if self.ounces else 1.0
        value = float(f"{grams / unit:.3g}") if grams / unit < 100 else round(grams / unit)
        return f"{value:.12f}".rstrip("0").rstrip(".") + f" {self.mass_unit}"

    def pot(self, ml: float) -> str:
        """Write the size of a pot, in ml and what else volumes are told in."""
        text = f"{ml:.0f} ml"
        return (
            text if self.volume_unit == "ml" else f"{text} ({self.volume(ml)} {self.volume_unit})"
        )

    def volume(self, ml: float) -> str:
        """Write a volume, without its unit."""
        if self.volume_unit == "ml":
            return f"{ml:.1f}" if ml < 10 else f"{ml:.0f}"
        return f"{ml / ML_PER_US_FLUID_OUNCE:.2f}"


def _places(step: float) -> int:
    text = f"{float(f'{step:.6g}'):f}".rstrip("0")
    return len(text.partition(".")[2])


def percent(share: float, digits: int = 3) -> str:
    """Write a share.

    >>> percent(0.024390), percent(0.05), percent(0.9756, 4)
    ('2.44 %', '5 %', '97.56 %')
    """
    return f"{float(f'{100 * share:.{digits}g}'):g} %"


def duration(seconds: float) -> str:
    """Write a time after which something is thrown away.

    >>> duration(28800.0), duration(5400.0), duration(1200.0), duration(604800.0)
    ('8 h', '1.5 h', '20 min', '7 days')
    """
    if seconds < 3600.0:
        return f"{seconds / 60:.3g} min"
    if seconds <= 48 * 3600.0:
        return f"{seconds / 3600:.3g} h"
    return f"{seconds / 86_400:.3g} days"


def title(said: str, batch: Batch, mixable: Mixable, units: Units) -> str:
    """Give the amount in one line.

    :param said: what it begins with, like the name of the ink
    """
    text = f"{said}: {units.mass(batch.total_g)} in all"
    if batch.volume_ml is None:
        return text
    volume = f"{units.volume(batch.volume_ml)} {units.volume_unit}"
    if len(batch.rows) == 1:
        return f"{text}, {volume}"
    how = "by its stated density" if mixable.density_stated else "as volumes add up (assumed)"
    return f"{text}, {volume} {how}"


def called(row: Row) -> str:
    """Give what a row is called on the balance."""
    return f"{row.name} pre-mix" if row.pre_mix is not None else row.name


def pre_mixes(batch: Batch, mixable: Mixable, units: Units) -> Iterator[str]:
    """Give a sentence or two for each pre-mix, in the order they are needed."""
    base = batch.rows[0].name
    for row in batch.rows:
        way = row.pre_mix
        if way is None:
            continue
        once, each = "", ""
        if way.pots > 1:
            once, each = f", once for all {way.pots} pots", f" for each of the {way.pots} pots"
        yield (
            f"Pre-mix for {row.name}{once}: stir {units.mass(way.own_g)} of it well into"
            f" {units.mass(way.carrier_g)} of {base}. {units.mass(way.shown_g)} of the pre-mix{each} hold"
            f" {units.short(row.in_mix_g)} of {row.name}, to within"
            f" {percent(row.error + abs(row.off), 2)} of what is asked for."
            + "".join(f" {text}" for text in _left_of(row, mixable, base, units))
        )


def left_of_pre_mixes(batch: Batch, mixable: Mixable, units: Units) -> Iterator[str]:
    """Say how much is left of pre-mixes and what becomes of it, where that is much or must not be kept."""
    base = batch.rows[0].name
    for row in batch.rows:
        way = row.pre_mix
        if way is not None and (_spoils(row, mixable, base) or way.left_g > way.whole_g / 2):
            for text in _left_of(row, mixable, base, units):
                yield f"Pre-mix for {row.name}: {text[:1].lower()}{text[1:]}"


def _left_of(row: Row, mixable: Mixable, base: str, units: Units) -> Iterator[str]:
    way = row.pre_mix
    if way is None or way.left_g < units.step_g / 2:
        return
    kept = "label it and keep it"
    if _spoils(row, mixable, base):
        kept = "throw it away with the mix"
    much = ", more than half of it" if way.left_g > way.whole_g / 2 else ""
    yield f"What is left, {units.shown(way.left_g)} {units.mass_unit}{much}: {kept}."


def _spoils(row: Row, mixable: Mixable, base: str) -> bool:
    """Tell whether a pre-mix for a row holds what starts a reaction."""
    return bool(mixable.spoils & {row.name, base})


def rounded(batch: Batch, units: Units) -> Iterator[str]:
    """Say where the balance's steps make a mass differ from the recipe."""
    off = [
        f"{row.name} {100 * row.off:+.2g} % of {units.short(row.mass_g)}"
        for row in batch.rows
        if abs(row.off) > OFF_TELLS and row.weigh_g > 0
    ]
    if off:
        yield f"Off the recipe by the balance's steps: {', '.join(off)}."
    if abs(batch.weighed_g - batch.total_g) > 0.6 * units.step_g:
        whole = units.short(batch.weighed_g)
        yield f"{whole} are weighed in all, as the balance's steps keep the parts true."
    for row in batch.rows:
        if row.weigh_g > 0:
            continue
        if row.already_g > 0:
            yield f"{row.name}: enough is in already, none is weighed."
        else:
            yield f"{row.name}: {units.short(row.mass_g)} is less than the balance shows."


def doses(batch: Batch, mixable: Mixable, *, maxima: bool = True) -> str:
    """Say each additive's share as its maker gives it; empty without any.

    :param maxima: tell what its maker allows, too
    """
    told = []
    for one in mixable.mixture.added:
        dosed = one.dosed
        if dosed.name not in {row.name for row in batch.rows}:
            continue
        taken, of = share_taken(batch, mixable.mixture, one), f"of the {dosed.of} by {dosed.by}"
        most = f" (at most {percent(one.most)})" if maxima else ""
        if not batch.row(dosed.name).already_g or taken <= dosed.share * (1 + 1e-6):
            told.append(f"{dosed.name} {percent(dosed.share)} {of}{most}")
        elif dosed.share:
            told.append(
                f"{dosed.name} {percent(taken)} {of}, as so much is in already, in place of"
                f" {percent(dosed.share)}{most}"
            )
        else:
            told.append(f"{dosed.name} {percent(taken)} {of}, what is in already{most}")
    return f"Additives: {', '.join(told)}." if told else ""


def replaced(mixable: Mixable) -> str:
    """Say which shares stand in place of the recipe's; empty where none does."""
    told = [
        f"{name} {percent(share) if share else 'none'} in place of the recipe's {percent(own)}"
        for name, own, share in mixable.replaced
    ]
    return f"As the order asks: {', '.join(told)}." if told else ""


def discarding(batch: Batch, mixable: Mixable) -> str:
    """Say when the mix is thrown away; empty where it keeps."""
    discard = mixable.discard
    if discard is None:
        return ""
    after, why = (
        duration(discard.after_s),
        f"({discard.name}), then discard; never back into stock.",
    )
    in_already = [
        row.name for row in batch.rows if row.already_g > 0 and row.name in mixable.spoils
    ]
    if discard.name in in_already:
        return f"Use within {after} of when it was first stirred in, not of now {why}"
    since = f" {discard.since}, not of stirring it in" if discard.since else ""
    text = f"Use within {after} of mixing{since} {why}"
    if in_already:
        text += f" For {several(in_already)} in already the time runs since it was stirred in."
    return text


def cautions(mixables: Iterable[Mixable]) -> tuple[str, ...]:
    """Give the cautions of cross-linkers, activators and discharge inks in any of these."""
    every = tuple(mixables)
    reacts = dict.fromkeys(name for one in every for name in one.reacts)
    discharges = dict.fromkeys(name for one in every for name in one.discharges)
    said = []
    if reacts:
        said.append(
            f"{several(reacts)}: wear gloves and eye protection and air the room, as the maker's safety"
            " data sheet says; keep it off the skin."
        )
    if discharges:
        said.append(
            f"{several(discharges)}: discharge gives off fumes that harm, from mixing to curing. Wear"
            " gloves and goggles; indoors only with extraction that takes the air outside; never on"
            " children's wear. The maker's safety data sheet and local rules come first."
        )
    return tuple(said)


def too_small(small: Sequence[TooSmall], units: Units, limit: float) -> str:
    """Say which doses the balance can't weigh."""
    doses = several([f"{units.short(one.mass_g)} of {one.name}" for one in small])
    least = units.short(least_dose_g(units.step_g, limit))
    return (
        f"{doses} can't be weighed to {percent(limit)} on a balance that shows"
        f" {units.shown(units.step_g)} {units.mass_unit}: {least} is the least it can"
    )


def what_helps(
    small: Sequence[TooSmall], units: Units, base: str, *, option: str = "", pots: int = 1
) -> str:
    """Say the smallest batch that would do, and the pre-mix, where one does.

    :param option: how the pre-mix is asked for
    :param pots: in so many pots it is weighed, each by itself
    """
    least = max(one.least_batch_g for one in small)
    text = "weigh it on a finer balance"
    if least < LARGEST_BATCH_G:
        text = f"mix {units.shown(least)} {units.mass_unit} or more "
        text += "at once" if pots == 1 else "in one pot, larger than these"
    ways = [(one.name, one.pre_mix) for one in small]
    if any(way is None for _, way in ways):
        return text
    text += f", or go by a pre-mix{option}"
    name, way = ways[0]
    if len(ways) == 1 and way is not None:
        text += (
            f": {units.shown(way.own_g)} {units.mass_unit} of {name} stirred into"
            f" {units.shown(way.carrier_g)} {units.mass_unit} of {base}, and of that"
            f" {units.shown(way.shown_g)} {units.mass_unit}"
        )
        if way.pots > 1:
            text += f" for each of the {way.pots} pots"
    return text
