"""The one error of the mechanics: a geometry that cannot exist."""


class InfeasibleError(ValueError):
    """The asked-for geometry cannot exist or lies outside the formula's validity.

    Attributes:
        code: stable snake_case code, e.g. ``eye_shorter_than_pin``.
        value: the offending figure, in ``unit``.
        limit: the figure it may not pass, in ``unit``.
        unit: "mm", "deg" or "" for a plain ratio.
    """

    def __init__(self, code: str, detail: str, *, value: float, limit: float, unit: str) -> None:
        super().__init__(detail)
        self.code = code
        self.value = value
        self.limit = limit
        self.unit = unit
