"""CSS as tinycss2 parses it, with types: rules, declarations and the tokens of a value (CSS Syntax 3)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple, Protocol, TypeAlias

import tinycss2


class CssToken(Protocol):
    """A component value."""

    @property
    def type(self) -> str:
        """ "ident", "string", "hash", "url", "function", "literal" and others."""

    @property
    def value(self) -> str:
        """Of identifiers, strings, hashes, urls and literals."""

    @property
    def lower_name(self) -> str:
        """Of functions."""

    @property
    def arguments(self) -> Sequence[CssToken]:
        """Of functions."""


Tokens: TypeAlias = Sequence[CssToken]


class CssRule(NamedTuple):
    """A rule of a style sheet."""

    at_keyword: str
    """In lower case; "" for a rule with selectors."""
    prelude: Tokens
    """The selectors."""
    content: Tokens


class CssDeclaration(NamedTuple):
    """A property and what it is set to."""

    name: str
    """In lower case."""
    value: Tokens
    is_important: bool


def is_literal(token: CssToken, text: str) -> bool:
    """Whether a token is a sign such as a comma."""
    return token.type == "literal" and token.value == text


def rules_of(sheet: str) -> Iterator[CssRule]:
    """The rules of a style sheet that can be read."""
    for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if rule.type == "qualified-rule":
            yield CssRule("", rule.prelude, rule.content)
        elif rule.type == "at-rule":
            yield CssRule(rule.lower_at_keyword, rule.prelude, rule.content or ())


def declarations_of(content: str | Tokens) -> list[CssDeclaration]:
    """The declarations of a style attribute or a rule's content that can be read."""
    parsed = tinycss2.parse_declaration_list(content, skip_comments=True, skip_whitespace=True)
    return [CssDeclaration(d.lower_name, d.value, d.important) for d in parsed if d.type == "declaration"]


def tokens_of(text: str) -> list[CssToken]:
    """The component values of a text, without comments."""
    return list(tinycss2.parse_component_value_list(text, skip_comments=True))


def text_of(tokens: Tokens) -> str:
    """The text of a value, without comments and white space around it."""
    return str(tinycss2.serialize([token for token in tokens if token.type != "comment"])).strip()
