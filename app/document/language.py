"""Words for the person: the one place that every text they read goes through. English is the only language so far."""

from __future__ import annotations


def tr(text: str, *values: object, **named: object) -> str:
    """A text with {0}, {1:.1f}, {name} filled in."""
    return text.format(*values, **named) if values or named else text


def counted(one: str, many: str, count: float, *values: object, **named: object) -> str:
    """Like tr for a text that depends on a count; the count is {0}, further values follow as {1}, {2} ..."""
    return (one if count == 1 else many).format(count, *values, **named)


def marked(text: str) -> str:
    """Marks a text of a table as one for the person; whoever shows it calls tr."""
    return text


def inside(title: str) -> str:
    """A title as it stands within a sentence."""
    return title[:1].lower() + title[1:]


def written(value: float, form: str = "g") -> str:
    """A number as the person reads it; form: a format specification such as ".1f"."""
    return format(value, form)
