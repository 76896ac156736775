"""QR codes, read back by a decoder that is not ours (zxing-cpp) from a thermal raster."""

import io

import pypdfium2
import pytest
import zxingcpp

from tuckmark.render import qr, typesetting
from tuckmark.render.svg import Picture

THERMAL_DPI = 203
ADDRESS = "https://plans.lowwater.example/v1/plans/1{}/sheet?made=869fd6b87434d620"


def read_back(modules: qr.Modules, one_mm: float, dpi: int) -> str:
    """What the decoder reads from a printed code; the picture has nothing but the code."""
    side_mm = qr.printed_side_mm(modules, one_mm)
    picture = Picture(side_mm, side_mm, "code", "code")
    picture.path(qr.qr_path(modules, 0, 0, one_mm), width_mm=0, fill="#000")
    pdf = typesetting.pdf(
        typesetting.picture_page(side_mm, side_mm), {"picture.svg": picture.svg().encode()}
    )
    with pypdfium2.PdfDocument(io.BytesIO(pdf)) as document:
        raster = document[0].render(scale=dpi / 72).to_numpy()
    (found,) = zxingcpp.read_barcodes(raster)
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.ec_level == "M"
    return found.text


@pytest.mark.parametrize("length", [1, 100, 400, 1200, 2000])
def test_a_decoder_reads_the_address_at_the_smallest_size(length: int) -> None:
    address = ADDRESS.format("aB3_-" * (length // 5))
    assert read_back(qr.qr_modules(address), qr.MIN_MODULE_MM, THERMAL_DPI) == address


def test_a_code_is_left_out_where_a_square_would_be_too_small() -> None:
    address = ADDRESS.format("a" * 100)
    modules = qr.qr_modules(address)
    least_mm = qr.MIN_MODULE_MM * (len(modules) + 8)  # ISO/IEC 18004: four light squares around
    assert qr.fitting_qr(address, least_mm + 1e-6) == modules
    assert qr.fitting_qr(address, least_mm - 1e-6) is None
    assert "too long to print" in qr.why_no_qr(address, packable=True)


def test_a_plan_without_an_address_has_no_code() -> None:
    assert qr.fitting_qr(None, 1000) is None
    assert "was not told the address" in qr.why_no_qr(None, packable=True)
    assert "the spec is too long" in qr.why_no_qr(None, packable=False)
