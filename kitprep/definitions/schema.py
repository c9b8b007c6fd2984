"""JSON Schema, draft 2020-12, of what people write, so that an editor can complete and check it."""

from typing import Any

from pydantic import BaseModel

DRAFT = "https://json-schema.org/draft/2020-12/schema"

_NOTHING = {"type": "null"}


def json_schema(model: type[BaseModel]) -> dict[str, Any]:
    """The schema of a kind of file; what only holds between entries is left to ``check``."""
    return {"$schema": DRAFT, **_in_toml(model.model_json_schema())}


def _in_toml(part: Any) -> Any:
    """Without null, which TOML does not have, and without the titles that only repeat a name."""
    if isinstance(part, list):
        return [_in_toml(inner) for inner in part]
    if not isinstance(part, dict):
        return part
    kept = {
        key: _in_toml(value)
        for key, value in part.items()
        if (key, value) != ("default", None) and not (key == "title" and isinstance(value, str))
    }
    options = kept.get("anyOf")
    if isinstance(options, list) and _NOTHING in options:
        options = [option for option in options if option != _NOTHING]
        kept = {key: value for key, value in kept.items() if key != "anyOf"}
        return {**options[0], **kept} if len(options) == 1 else {"anyOf": options, **kept}
    return kept
