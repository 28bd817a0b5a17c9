"""Whatever happens to a file, it is read or refused; nothing else."""

from pathlib import Path

import pytest
from folders import GOOD, write_folder
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from propsched.errors import InvalidInputError
from propsched.files.read import read_season

SCRAPS = st.sampled_from(
    [b"", b",", b";", b'"', b"\n", b"\r\n", b"\t", b"[", b"]", b"=", b"#", b"-", b"e",
     b"0", b"99999999999", b"nan", b"\xff", b"\0", "×".encode(), b"2026-13-01",
     b"{", b"."]
) | st.binary(max_size=4)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_folder(tmp_path_factory.mktemp("damaged"))


@given(
    name=st.sampled_from(sorted(GOOD)),
    at=st.floats(0, 1),
    length=st.integers(0, 12),
    scrap=SCRAPS,
)
@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_damage_is_read_or_refused_with_a_line_that_is_there(
    folder: Path, name: str, at: float, length: int, scrap: bytes
) -> None:
    raw = GOOD[name].encode()
    start = int(at * len(raw))
    damaged = raw[:start] + scrap + raw[start + length :]
    path = folder / name
    path.write_bytes(damaged)
    try:
        read_season(folder)
    except InvalidInputError as error:
        problems = error.problems
    else:
        problems = ()
    finally:
        path.write_bytes(raw)
    for problem in problems:
        file = Path(problem.path)
        text = damaged if file == path else file.read_bytes()
        assert 0 <= problem.line <= text.count(b"\n") + text.count(b"\r") + 1
        assert "Input should" not in str(problem)
