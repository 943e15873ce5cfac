"""Line numbers of the keys of a TOML file, which the standard reader does not keep.

The text must already have been accepted by tomllib: this scanner checks nothing, it only remembers where
each key stands. Paths are tuples of names and of positions in lists: ("cooling", 1, "until").
"""

from __future__ import annotations

import re
from collections.abc import Iterator

Path = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SKIP = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_SCALAR = re.compile(r"[^,\]}#\r\n]*")
_STRINGS = (
    re.compile(r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})(?!")', re.DOTALL),
    re.compile(r"'''.*?'''(?:'{0,2})(?!')", re.DOTALL),
    re.compile(r'"(?:[^"\\]|\\.)*"'),
    re.compile(r"'[^']*'"),
)
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}


def key_lines(text: str) -> dict[Path, int]:
    """Line of every key, table and list entry, counted from 1; the root () is line 1."""
    return _Scanner(text).run()


def line_of(lines: dict[Path, int], path: Path) -> int:
    """Line of a path, or of the nearest table around it."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {(): 1}
        self.entries: dict[Path, int] = {}  # [[list of tables]]: entries so far
        self._line, self._counted = 1, 0

    def run(self) -> dict[Path, int]:
        table: Path = ()
        self._skip()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip()
        return self.lines

    def _skip(self) -> None:
        match = _SKIP.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _blanks(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in " \t":
            self.at += 1

    def _here(self) -> int:
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        return self._line

    def _header(self) -> Path:
        line = self._here()
        double = self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        names = tuple(self._key())
        path: Path = ()
        for name in names[:-1]:
            self.lines.setdefault((*path, name), line)
            path = self._newest((*path, name))
        path = (*path, names[-1])
        self.at += 2 if double else 1
        self.lines.setdefault(path, line)
        if double:
            self.entries[path] = self.entries.get(path, -1) + 1
            path = self._newest(path)
            self.lines[path] = line
        return path

    def _newest(self, path: Path) -> Path:
        return (*path, self.entries[path]) if path in self.entries else path

    def _key(self) -> Iterator[str]:
        while True:
            self._blanks()
            yield self._name()
            self._blanks()
            if self.text[self.at] != ".":
                return
            self.at += 1

    def _name(self) -> str:
        bare = _BARE_KEY.match(self.text, self.at)
        if bare:
            self.at = bare.end()
            return bare[0]
        quoted = self._string()
        if quoted[0] == "'":
            return quoted[1:-1]
        return re.sub(r"\\(u[0-9a-fA-F]{4}|U[0-9a-fA-F]{8}|.)", _unescape, quoted[1:-1])

    def _string(self) -> str:
        for pattern in _STRINGS:
            match = pattern.match(self.text, self.at)
            if match:
                self.at = match.end()
                return match[0]
        raise ValueError(f"no string at line {self._here()}")

    def _pair(self, table: Path) -> None:
        line = self._here()
        path = table
        for name in self._key():
            path = (*path, name)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self._blanks()
        self._value(path)

    def _value(self, path: Path) -> None:
        sign = self.text[self.at]
        if sign == "[":
            self._members(path, "]")
        elif sign == "{":
            self._members(path, "}")
        elif sign in "\"'":
            self._string()
        else:
            match = _SCALAR.match(self.text, self.at)
            self.at = match.end() if match else self.at

    def _members(self, path: Path, closing: str) -> None:
        self.at += 1
        position = 0
        self._skip()
        while self.text[self.at] != closing:
            if closing == "}":
                self._pair(path)
            else:
                self.lines[(*path, position)] = self._here()
                self._value((*path, position))
                position += 1
            self._skip()
            if self.text[self.at] == ",":
                self.at += 1
                self._skip()
        self.at += 1


def _unescape(match: re.Match[str]) -> str:
    code = match[1]
    return chr(int(code[1:], 16)) if code[0] in "uU" and len(code) > 1 else _ESCAPES.get(code, code)
