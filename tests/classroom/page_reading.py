"""Reading a page as a browser would: its elements, attributes and texts."""

from html.parser import HTMLParser

#: HTML Living Standard, 13.1.2: elements without an end tag.
VOID = {"meta", "img", "br", "hr", "link", "input"}


class Page(HTMLParser):
    """Reads a page: elements with their attributes, text, nesting."""

    def __init__(self, data: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[str, dict]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.feed(data.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag, attributes):
        self.found.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag, "elements overlap"

    def handle_data(self, data):
        self.text.append(data)

    def all(self, tag):
        return [attributes for name, attributes in self.found if name == tag]
