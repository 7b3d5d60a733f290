"""What programs send: objects without unknown keys, and numbers as typed."""

from collections.abc import Mapping
from functools import cache
from typing import Any, ClassVar, cast

from django.core.exceptions import ValidationError as DjangoValidationError
from django.core.validators import ProhibitNullCharactersValidator
from django.utils.translation import gettext_lazy
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.validators import ProhibitSurrogateCharactersValidator

from results.policy.language import tell

_MOST_UNKNOWN_KEYS = 10
_LONGEST_CREDENTIAL = 256


class StrictSerializer(serializers.Serializer[Any]):
    """An object whose every key is known: a misspelt one would lose a value."""

    empty: ClassVar[Mapping[str, Any]] = {}

    def to_internal_value(self, data: Any) -> Any:
        """Return the checked content; keys of `empty` may be missing."""
        if isinstance(data, Mapping):
            self._refuse_unknown_keys(data)
            data = {**self.empty, **data}
        return super().to_internal_value(data)

    def _refuse_unknown_keys(self, data: Mapping[str, Any]) -> None:
        unknown = [key for key in data if key not in self.fields]
        if unknown:
            sentence = tell(
                "There is no such field. The fields are {fields}.",
                fields=", ".join(self.fields),
            )
            raise serializers.ValidationError(
                {key: [sentence] for key in unknown[:_MOST_UNKNOWN_KEYS]}
            )


@extend_schema_field(
    {
        "oneOf": [{"type": "number"}, {"type": "string"}],
        "description": "A number, or a string with a decimal comma or point.",
    }
)
class TypedNumber(serializers.Field[Any, Any, Any, Any]):
    """A number as typed; whether it is one, and plausible, is for `policy` to say."""

    default_error_messages = {
        "not_typed": gettext_lazy("Send a number, or a string that holds one."),
    }

    def __init__(self, **options: Any) -> None:
        super().__init__(allow_null=True, **options)
        self.validators = [
            ProhibitNullCharactersValidator(),
            ProhibitSurrogateCharactersValidator(),
        ]

    def to_internal_value(self, data: Any) -> str | float:
        """Return the text or number as it came."""
        if isinstance(data, str):
            return data
        if isinstance(data, bool) or not isinstance(data, int | float):
            self.fail("not_typed")
        try:
            float(data)
        except OverflowError:
            self.fail("not_typed")
        return cast("float", data)

    def to_representation(self, value: Any) -> Any:
        """Return the value as it is."""
        return value


class SlipSentSerializer(StrictSerializer):
    """The code on a group's slip."""

    slip_code = serializers.CharField(max_length=_LONGEST_CREDENTIAL)


class PasswordSentSerializer(StrictSerializer):
    """The name and password of a member of staff."""

    username = serializers.CharField(max_length=_LONGEST_CREDENTIAL)
    password = serializers.CharField(
        max_length=_LONGEST_CREDENTIAL, trim_whitespace=False
    )


def checked(serializer_class: type[StrictSerializer], data: Any) -> dict[str, Any]:
    """Return the content of a body.

    Raises
    ------
    ValidationError
        The body has another shape.
    """
    try:
        content = _shared(serializer_class).run_validation(data)
    except (serializers.ValidationError, DjangoValidationError):
        # What is wrong is put into words by one made for this body, as the framework
        # has it.
        serializer = serializer_class(data=data)
        serializer.is_valid(raise_exception=True)
        content = serializer.validated_data
    return cast("dict[str, Any]", content)


@cache
def _shared(serializer_class: type[StrictSerializer]) -> StrictSerializer:
    """Return a serializer that holds no data: copying its fields takes the longest."""
    return serializer_class()
