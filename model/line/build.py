"""Reading the steps that make or name things: their words in the order they are said, each with its columns.

    add site NAME [exchange | cabinet | enclosure | slack | premises]
    add cable NAME TYPE from HALT { through HALT } to HALT
    HALT := SITE { at MARK[/MARK] | in ENTRY[/ENTRY] | coil METRES }
    add drop NAME TYPE [from SITE] to SITE METRES [m] [at ENTRY]
    add box TYPE [at SITE] [as NAME]
    add tray TYPE [to SITE] [times N]
    add panel CABLE [at SITE]
    add panel NAME with N [ports] [equipment | outlet] [class CLASS] [at SITE]
    add splitter NAME TYPE [at SITE] [on TRAY]
    name (tray NAME | PROJECT-WORD | NAME) as NEW
    mark CABLE[@SITE] MARK[/MARK] [at SITE]
    mark CABLE jump (none | MARK/MARK { , MARK/MARK }) [beyond SITE]
    enter CABLE in ENTRY[/ENTRY] [at SITE]
    remove (tray NAME | panel NAME | NAME) [at SITE]
    plug | unplug (all | ENTRY { , ENTRY }) [at SITE]
    serve SITE port N as NAME [for CUSTOMER]

A new name with a blank in it stands in quotation marks. It does not know what exists.
"""

from __future__ import annotations

from typing import Any, Final

from model.line.faults import Fix, LineError, Span
from model.line.names import ends_name, nearest
from model.line.scan import Scanner
from model.line.syntax import Build, Halt, Word
from model.line.verbs import ADDED, EXAMPLE, JOB_FIELDS

SITE_KINDS: Final = ("exchange", "cabinet", "enclosure", "slack", "premises")


class BuildReader(Scanner):
    """The part of the reader for steps that make or name something."""

    def build(self, verb: Word, start: int) -> Build:
        """The rest of a step whose verb has been read. Raises LineError."""
        found: dict[str, Any] = getattr(self, f"_{'plug' if verb.text == 'unplug' else verb.text}")(verb.text)
        if not self.done():
            span = self.here() if self.here().length else Span(self.at + 1, 1)
            raise LineError(
                f"{self.said(span)} is not understood here",
                span,
                hint=ADDED.get(found["kind"].text, "") if "kind" in found else EXAMPLE[verb.text],
                incomplete=self._could_follow(found, span),
            )
        return Build(verb, self.span(start), **found)

    def _could_follow(self, found: dict[str, Any], span: Span) -> bool:
        """True where a word that may stand here is half typed at the end of the text."""
        typed = self.text[span.column - 1 :].lower()
        words = [
            "at",
            "in",
            "as",
            "to",
            "through",
            "times",
            "coil",
            "from",
            "for",
            "m",
            "on",
            "with",
            "class",
            "beyond",
        ]
        return bool(typed.strip()) and any(word.startswith(typed) and word != typed for word in words)

    # Words

    def fresh(self, what: str, hint: str = "") -> Word:
        """A new name: quoted, or up to the next blank or semicolon."""
        self.space()
        start = self.at
        if self.text.startswith('"', start):
            return self._checked(self.name((), what))
        while self.at < len(self.text) and not (self.text[self.at].isspace() or self.text[self.at] in ';"'):
            self.at += 1
        if self.at == start:
            raise self.missing(f"{what} is missing here", hint)
        return self._checked(Word(self.text[start : self.at], self.span(start)))

    def _checked(self, word: Word) -> Word:
        if not word.text.strip() or not word.text.isprintable() or len(word.text) > 80:
            raise LineError("this is no name", word.span, hint="Use 1 to 80 letters, digits and marks")
        return word

    def _take_word(self, *words: str) -> str:
        """Step over one of these words if it stands here."""
        held = self.at
        self.space()
        word = self.keyword()
        if word in words:
            self.at += len(word)
            return word
        self.at = held
        return ""

    def _need(self, word: str, hint: str) -> None:
        if not self._take_word(word):
            self.space()
            span = self.here()
            typed = self.text[self.at :].lower()
            raise LineError(
                f"{word} must stand here",
                Span(span.column, span.length),
                hint=hint,
                fixes=(Fix(Span(span.column, span.length if word.startswith(typed) else 0), f"{word} "),),
                incomplete=word.startswith(typed),
            )

    def _marks(self) -> tuple[Word, ...]:
        """``IN/OUT``, or one mark."""
        hint = "Like 2148/2149.6"
        first = self.measure("the mark", hint)
        if self.take("/") or self.take(".."):
            return first, self.measure("the second mark", hint)
        if not ends_name(self.text, self.at):
            span = Span(self.at + 1, self.here().length)
            raise LineError(f"{self.said(span)} is no part of a mark", span, hint=hint)
        return (first,)

    def _entries(self) -> tuple[Word, ...]:
        """``ENTRY/ENTRY`` or a list with commas."""
        found = []
        while True:
            self.space()
            start = self.at
            while self.at < len(self.text) and not (self.text[self.at].isspace() or self.text[self.at] in ",;/"):
                self.at += 1
            if self.at == start:
                raise self.missing("an entry is missing here", "Write its name, like 4")
            found.append(Word(self.text[start : self.at], self.span(start)))
            if not (self.take(",") or self.take("/")):
                return tuple(found)

    # Steps

    def _add(self, verb: str) -> dict[str, Any]:
        self.space()
        word = self.keyword()
        span = self.here()
        if word not in ADDED:
            typed = self.text[self.at :].lower()
            close = nearest(word or typed, ADDED)[:1]
            raise LineError(
                f"add what? {self.said(span)} cannot be added" if span.length else "add what?",
                span,
                hint="A " + ", ".join(ADDED),
                fixes=tuple(Fix(span, name) for name in close) if span.length else (),
                incomplete=any(name.startswith(typed) for name in ADDED),
            )
        self.at += len(word)
        kind = Word(word, Span(span.column, len(word)))
        found: dict[str, Any] = {"kind": kind}
        hint = ADDED[word]
        if word in ("box", "tray"):
            found["type"] = self.fresh("the type", hint)
        elif word == "panel":
            found["name"] = self.name(("cable",), "the cable or the panel's name")
        else:
            found["name"] = self.fresh("the new name", hint)
        if word == "site":
            if not self.done():
                found["type"] = self._site_kind()
            return found
        if word in ("panel", "splitter"):
            found.update(self._device(word, hint))
            return found
        if word in ("cable", "drop"):
            found["type"] = self.fresh("the type", hint)
            found.update(self._run(hint) if word == "cable" else self._drop(hint))
            return found
        while (tail := self._take_word("at", "to", "as", "times")) and not self.done():
            if tail in ("at", "to"):
                found["at"] = self.name(("site",), "a site")
            elif tail == "as":
                found["new"] = self.fresh("the new name")
            else:
                found["count"] = self.number("how many")
        if tail:
            raise self.missing(f"something must follow {tail}", hint)
        return found

    def _device(self, word: str, hint: str) -> dict[str, Any]:
        """What follows the name of a panel or splitter."""
        found: dict[str, Any] = {}
        if word == "splitter":
            found["type"] = self.fresh("the type", hint)
        elif self._take_word("with"):
            found["count"] = self.number("how many ports")
            self._take_word("ports", "port")
            start = self.at
            role = self._take_word("equipment", "outlet")
            if role:
                found["type"] = Word(role, self.span(start + 1))
            if self._take_word("class"):
                found["power"] = self.fresh("the power class", 'Like class "GPON B+"')
        while tail := self._take_word("at", *(("on",) if word == "splitter" else ())):
            if tail == "at":
                found["at"] = self.name(("site",), "a site")
            else:
                self._take_word("tray")
                found["tray"] = self.name(("tray",), "the tray")
        return found

    def _site_kind(self) -> Word:
        self.space()
        span = self.here()
        word = self.keyword()
        if word not in SITE_KINDS:
            typed = self.text[self.at :].lower()
            close = nearest(self.text[self.at : span.end - 1], SITE_KINDS)[:3]
            raise LineError(
                f"{self.said(span)} is no kind of site",
                span,
                nearest=", ".join(close),
                fixes=tuple(Fix(span, name) for name in close),
                incomplete=any(name.startswith(typed) for name in SITE_KINDS),
            )
        self.at += len(word)
        return Word(word, Span(span.column, len(word)))

    def _run(self, hint: str) -> dict[str, Any]:
        self._need("from", hint)
        halts = [self._halt()]
        while True:
            word = self._take_word("through", "to")
            if not word:
                self._need("to" if not self._half("through") else "through", hint)
            halts.append(self._halt())
            if word != "through":
                return {"halts": tuple(halts)}

    def _half(self, word: str) -> bool:
        self.space()
        typed = self.text[self.at :].lower()
        return len(typed) > 1 and word.startswith(typed)

    def _halt(self) -> Halt:
        site = self.name(("site",), "a site")
        found: dict[str, Any] = {}
        while tail := self._take_word("at", "in", "coil"):
            if tail == "at":
                found["marks"] = self._marks()
            elif tail == "in":
                found["entries"] = self._entries()
            else:
                found["coil"] = self.measure("the length of the coil in metres")
        return Halt(site, **found)

    def _drop(self, hint: str) -> dict[str, Any]:
        found: dict[str, Any] = {}
        if self._take_word("from"):
            found["at"] = self.name(("site",), "a site")
        self._need("to", hint)
        found["halts"] = (Halt(self.name(("site",), "a site")),)
        found["length"] = self.measure("its length in metres", hint)
        if self.at < len(self.text) and self.text[self.at] in "mM" and ends_name(self.text, self.at + 1):
            self.at += 1
        elif not ends_name(self.text, self.at):
            span = Span(self.at + 1, self.here().length)
            raise LineError(f"{self.said(span)} is no length", span, hint="Write metres, like 65 m")
        self._take_word("m")
        if self._take_word("at", "in"):
            found["entries"] = self._entries()
        return found

    def _name(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {}
        self.space()
        word = self.keyword()
        known = self.names.longest(self.text, self.at, ("cable", "site", "splitter", "service"))
        if word == "tray" and known <= 4:
            self.at += 4
            found["tray"] = self.name(("tray",), "the tray")
        elif word in JOB_FIELDS and known <= len(word):
            found["kind"] = Word(word, Span(self.at + 1, len(word)))
            self.at += len(word)
        else:
            found["name"] = self.name(("cable", "site", "splitter", "service"), "what is to be named")
        self._need("as", EXAMPLE["name"])
        found["new"] = self.fresh("the new name", EXAMPLE["name"])
        return found

    def _mark(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {"name": self.name(("cable",), "a cable")}
        if self.take("@"):
            found["at"] = self.name(("site",), "a site")
        self.space()
        start = self.at
        if self._take_word("jump"):
            found["kind"] = Word("jump", self.span(start))
            found["marks"] = () if self._take_word("none") else self._jumps()
        else:
            found["marks"] = self._marks()
        if self._take_word("beyond" if "kind" in found else "at"):
            found["at"] = self.name(("site",), "a site")
        return found

    def _jumps(self) -> tuple[Word, ...]:
        """``BEFORE/AFTER`` with commas between: the last mark and the next one, pair after pair."""
        hint = "Like jump 9999/0, or jump none"
        found: list[Word] = []
        while True:
            found.append(self.measure("the last mark before the jump", hint))
            if not self.take("/"):
                raise self.missing("the mark behind the jump is missing here", hint)
            found.append(self.measure("the mark behind the jump", hint))
            if not self.take(","):
                return tuple(found)

    def _enter(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {"name": self.name(("cable",), "a cable")}
        self._need("in", EXAMPLE["enter"])
        found["entries"] = self._entries()
        if self._take_word("at"):
            found["at"] = self.name(("site",), "a site")
        return found

    def _plug(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {"entries": self._entries()}
        if self._take_word("at"):
            found["at"] = self.name(("site",), "a site")
        return found

    def _remove(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {}
        self.space()
        word = self.keyword()
        known = self.names.longest(self.text, self.at, ("cable", "site", "splitter", "service"))
        if word in ("tray", "panel") and known <= len(word):
            found["kind"] = Word(word, Span(self.at + 1, len(word)))
            self.at += len(word)
            found["name"] = self.name(("tray",) if word == "tray" else (), f"the {word}")
        else:
            found["name"] = self.name(("cable", "site", "splitter", "service"), "what is to be removed")
        if self._take_word("at"):
            found["at"] = self.name(("site",), "a site")
        return found

    def _serve(self, verb: str) -> dict[str, Any]:
        found: dict[str, Any] = {"at": self.name(("site",), "a site")}
        self._need("port", EXAMPLE["serve"])
        found["count"] = self.number("the number of the port")
        self._need("as", EXAMPLE["serve"])
        found["new"] = self.fresh("the name of the service", EXAMPLE["serve"])
        if self._take_word("for"):
            found["customer"] = self.fresh("the customer")
        return found
