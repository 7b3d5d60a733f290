"""A body that ends too early is noticed by whoever reads it, however it is read."""

import io

import pytest
from django.core.handlers.wsgi import WSGIRequest
from hypothesis import given
from hypothesis import strategies as st

from labsite.whole_bodies import CutShort, WholeBody, whole_bodies

READS = st.lists(st.tuples(st.booleans(), st.integers(-1, 9)), max_size=30)


def read_by(body, reads):
    """Read in some way, then all that is left."""
    found = b""
    for is_line, size in reads:
        found += (body.readline if is_line else body.read)(size)
    return found + body.read()


@given(content=st.binary(max_size=60), reads=READS, more=st.binary(max_size=9))
def test_a_whole_body_is_read_as_it_is_and_no_further(content, reads, more):
    body = WholeBody(io.BytesIO(content + more), len(content))

    assert read_by(body, reads) == content


@given(content=st.binary(max_size=60), reads=READS, missing=st.integers(1, 9))
def test_a_body_that_ends_early_is_never_taken_for_whole(content, reads, missing):
    body = WholeBody(io.BytesIO(content), len(content) + missing)

    with pytest.raises(CutShort):
        read_by(body, reads)


class Broken(io.BytesIO):
    def read(self, _size=-1, /):
        raise ConnectionResetError


@pytest.mark.parametrize("length", ["", "-1", "many", "9" * 5000])
def test_what_is_no_length_is_none(length):
    seen = []

    whole_bodies(lambda environ, _: seen.append(environ["wsgi.input"].read()) or [])(
        {"wsgi.input": io.BytesIO(b"content"), "CONTENT_LENGTH": length}, None
    )

    assert seen == [b""]


@pytest.mark.parametrize(
    ("kind", "start"),
    [
        ("application/x-www-form-urlencoded", b"note=Tube 3 w"),
        ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data; "),
    ],
)
@pytest.mark.parametrize("source", [io.BytesIO, Broken])
def test_a_form_that_is_cut_short_is_no_empty_form(kind, start, source):
    def application(environ, _):
        request = WSGIRequest(environ | {"REQUEST_METHOD": "POST"})
        # The check of the token goes on where a line breaks.
        with pytest.raises(CutShort):
            _ = request.POST
        return [b"refused"]

    told = {"CONTENT_TYPE": kind, "CONTENT_LENGTH": str(len(start) + 30)}

    answer = whole_bodies(application)({"wsgi.input": source(start), **told}, None)

    assert answer == [b"refused"]
