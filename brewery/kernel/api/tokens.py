"""Tokens: how a program shows who asks. Hashed on record, expiring, several a person."""

from typing import Any

from drf_spectacular.contrib.knox_auth_token import KnoxTokenScheme
from knox.auth import TokenAuthentication as KnoxTokenAuthentication
from rest_framework.exceptions import AuthenticationFailed


class TokenAuthentication(KnoxTokenAuthentication):
    """`Authorization: Token …`, with a token that a sign-in gave out."""

    def authenticate_credentials(self, token: bytes) -> Any:
        """Return the person and the token. Raises AuthenticationFailed, also for what is no text at all."""
        if not token.isascii():
            raise AuthenticationFailed("Invalid token.")
        return super().authenticate_credentials(token)


class TokenScheme(KnoxTokenScheme):  # type: ignore[no-untyped-call]
    """How the OpenAPI description tells of the token."""

    target_class = "brewery.kernel.api.tokens.TokenAuthentication"
    name = "token"
