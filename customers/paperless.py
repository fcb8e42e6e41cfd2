"""What a household is told before it takes papers as files: 15 USC 7001(c)(1)(B) and (C)(i).

The words stand in templates/customers/paperless.<language>.txt, one item a line: the right to paper
and to withdraw, what the choice is for, how to withdraw and to keep us up to date, paper copies,
what is needed to read and keep the files. Whoever changes them raises STATEMENT.
"""

from django.template.loader import render_to_string

from shared.firm import the_firm


def told(language: str) -> list[str]:
    """Return the items of the statement."""
    words = render_to_string(f"customers/paperless.{language}.txt", {"firm": the_firm()})
    return [line.strip() for line in words.splitlines() if line.strip()]


def statement(language: str) -> str:
    """Return the statement as it is kept with the consent."""
    return "\n".join(told(language))
