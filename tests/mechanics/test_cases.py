from pathlib import Path

import pytest

HERE = Path(__file__).parent
TESTS = "\n".join(path.read_text(encoding="utf-8") for path in HERE.glob("test_*.py"))


@pytest.mark.parametrize("path", sorted((HERE / "cases").iterdir()), ids=lambda path: path.name)
def test_every_case_file_has_its_test(path: Path) -> None:
    assert path.suffix == ".yaml"
    assert f"def test_{path.stem}(\n" in TESTS or f"def test_{path.stem}(inputs" in TESTS
