"""Where a product goes, and the limits on skin that come with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from optimiser.brief import End, Family, Limit, Request
from optimiser.ingredient import Book
from optimiser.provenance import Origin, plain_number
from optimiser.reading.findings import Findings, Problem
from optimiser.reading.names import fold, one_of
from optimiser.reading.toml_document import Document, Entry
from optimiser.reading.wording import key_path, listed, quoted
from optimiser.skin import RuleKind, SkinLimit, Use
from optimiser.skin_content import categories, certificate_limit, certified_category

_OTHERWISE = {
    "hand leave on": Use.HANDS,
    "feet leave on": Use.BODY,
    "foot leave on": Use.BODY,
    "lip": Use.LIPS,
    "lips": Use.LIPS,
    "lip leave on": Use.LIPS,
}
"""Other ways to say a use, folded."""

_LISTED = (*Use, "feet, leave-on")
"""What a message offers: every part of the body by its own name."""

MOST_PERCENT = Decimal(100)


def use_named(text: str) -> Use:
    """The use that a maker names.

    Raises:
        Problem: There is none such; with all that there are.
    """
    plain = _plain(text)
    for use in Use:
        if _plain(use) == plain:
            return use
    if plain in _OTHERWISE:
        return _OTHERWISE[plain]
    raise Problem(f"no such use: {quoted(text)}; write {listed([quoted(use) for use in _LISTED])}")


def _plain(text: str) -> str:
    return fold(text.replace(",", " "))


def read_uses(document: Document, entry: Entry | None) -> tuple[Use, ...]:
    """The key `use` of a brief: one use, or a list where a label names several."""
    found: dict[Use, None] = {}
    if entry is None:
        return ()
    if entry.value == []:
        document.wrong(entry, 'an empty list; write use = "body, leave-on"')
    for item, text in document.texts(entry, '"body, leave-on"') or ():
        try:
            found[use_named(text)] = None
        except Problem as problem:
            document.wrong(item, problem)
    return tuple(found)


def read_skin(document: Document, entry: Entry | None, book: Book) -> list[Limit]:
    """The table `skin`: the maker's own bounds for what is limited on skin.

    Args:
        document: The brief.
        entry: The table, or None.
        book: With the limits on skin.
    """
    if entry is None:
        return []
    identifiers = list(dict.fromkeys(limit.id for limit in held_rows(book)))
    known = replace(
        one_of(identifiers, "limit on skin"), otherwise=f"known: {listed(identifiers, 'and')}"
    )
    limits: list[Limit] = []
    example = "{ max = 0.1 }"
    for name, inner in (document.any_table(entry, f"[skin] and citral = {example}") or {}).items():
        of = document.find(inner, name, known)
        sides = document.table(inner, ("max", "firm"), example)
        if sides is None:
            continue
        if "max" not in sides:
            document.wrong(inner, f"no max; write {example}")
            continue
        value = document.number(sides["max"], "0.1")
        firm = "firm" in sides and bool(document.flag(sides["firm"]))
        if value is not None and not 0 <= value <= MOST_PERCENT:
            problem = f"{plain_number(value)} is no percentage of the formula; write 0 to 100"
            document.wrong(sides["max"], problem)
        elif of in {limit.of for limit in limits}:
            document.wrong(inner, f"{of} stands here already; keep one line")
        elif value is not None and of is not None:
            at = sides["max"].origin
            limits.append(Limit(Family.SKIN, of, End.MAX, value, at.key or "", at, firm))
    return limits


def held_rows(book: Book) -> Iterable[SkinLimit]:
    """The limits on skin that are held; advice is only told."""
    return (limit for limit in book.skin_limits if limit.rule is not RuleKind.ADVICE)


def with_skin_limits(
    uses: Sequence[Use], own: Sequence[Limit], book: Book, file: str, findings: Findings
) -> tuple[Limit, ...]:
    """The limits on skin of some uses, those of the brief in the place of the shipped ones.

    Of several rules for the same thing the lowest bound is taken: a label that names several
    uses has to keep them all. They are firm, as no maker may ease them.

    Args:
        uses: Where the product goes; without any, only the brief's own bounds are held.
        own: The brief's own bounds.
        book: With the limits on skin, and the certificates.
        file: The brief's name in remarks.
        findings: Where it is noted that a bound of the brief is above the rule.
    """
    wanted = categories(uses)
    lowest: dict[str, SkinLimit] = {}
    for row in held_rows(book):
        known = lowest.get(row.id)
        applies = not row.categories.isdisjoint(wanted)
        if applies and (known is None or row.value < known.value):
            lowest[row.id] = row
    said = {limit.of: limit for limit in own}
    for of, limit in said.items():
        rule = lowest.get(of)
        if rule is not None and limit.value > rule.value:
            findings.remark(
                file,
                f"{limit.key} {plain_number(limit.value)} is above the {plain_number(rule.value)} "
                f"of {rule.locator}, and stands: your own word goes before it",
            )
    shipped = (_limit(row.id, row.value, row.origin) for row in lowest.values())
    kept = [limit for limit in shipped if limit.of not in said]
    return (*own, *kept, *_certificate_limits(wanted, book))


def with_uses(request: Request, uses: Sequence[Use]) -> Request:
    """The same for other uses, with the limits on skin that come with them.

    Args:
        request: A brief, or none in particular; the brief's own bounds stay.
        uses: Where the product goes; without any the request is as it was.
    """
    if not uses:
        return request
    brief, findings = request.brief, Findings()
    shipped = {row.origin for row in request.book.skin_limits}
    own = [
        limit
        for limit in brief.limits
        if limit.family is Family.SKIN
        and limit.origin not in shipped
        and certified_category(limit.of) is None
    ]
    rest = tuple(limit for limit in brief.limits if limit.family is not Family.SKIN)
    limits = with_skin_limits(uses, own, request.book, Path(brief.file).name, findings)
    changed = replace(brief, uses=tuple(uses), limits=(*rest, *limits))
    return replace(request, brief=changed, remarks=(*request.remarks, *findings.remarks))


def _certificate_limits(wanted: Iterable[str], book: Book) -> list[Limit]:
    """For each category the sum of scents, each over its certificate's maximum."""
    found = []
    for category in wanted:
        origins = _certified_in(category, book.certified)
        if origins:
            found.append(_limit(certificate_limit(category), Decimal(1), origins[0]))
    return found


def _certified_in(category: str, certified: Mapping[str, Mapping[str, object]]) -> list[Origin]:
    ones = [maxima[category] for maxima in certified.values() if category in maxima]
    return [one.origin for one in ones]  # type: ignore[attr-defined]


def _limit(of: str, value: Decimal, origin: Origin) -> Limit:
    key = key_path([Family.SKIN.value, of, End.MAX.value])
    return Limit(Family.SKIN, of, End.MAX, value, key, origin, firm=True)
