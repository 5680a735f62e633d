"""Signing in and out: a name and a password become a token, and a token can be given back."""

from datetime import datetime
from typing import Any

from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in, user_logged_out
from drf_spectacular.utils import extend_schema
from knox.models import AuthToken
from knox.settings import knox_settings
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from brewery.kernel.access import ROLE_RIGHTS, Right
from brewery.kernel.api.access import Anyone, SignedIn
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.strict import refuse_unknown_members
from brewery.kernel.api.views import person_of
from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User


class WrongPassword(DomainError):
    code = "wrong_password"
    status = 401
    title = "Name and password do not fit."
    template = "There is no active person with this name and this password."
    advice = "Check both; after a few failures the name is locked for some minutes."


class LockedOut(DomainError):
    code = "locked_out"
    status = 429
    title = "Locked for a while."
    template = "The password was wrong too many times, so this name cannot sign in from here for some minutes."
    advice = "Try again later, or ask the administrator."


class TooManyTokens(DomainError):
    code = "too_many_tokens"
    title = "There are too many tokens."
    template = "{person} has {count} tokens that are valid, and may not have more."
    advice = "Sign out with one that is no longer needed, or with all of them."


class SignIn(serializers.Serializer[Any]):
    """What a sign-in takes."""

    username = TextField(max_length=150)
    password = TextField(max_length=1024, trim_whitespace=False)


class PersonAnswer(serializers.Serializer[User]):
    """Who somebody is and what they may do."""

    username = serializers.CharField()
    name = serializers.CharField(source="get_full_name")
    roles = serializers.SerializerMethodField()
    rights = serializers.SerializerMethodField()

    def get_roles(self, person: User) -> list[str]:
        names = set(person.groups.values_list("name", flat=True))
        return [role.value for role in ROLE_RIGHTS if role.value in names]

    def get_rights(self, person: User) -> list[str]:
        return [right.value for right in Right if person.has_right(right)]


class SessionAnswer(serializers.Serializer[Any]):
    """A token, shown this once, and until when it is good."""

    token = serializers.CharField()
    expires_at = serializers.DateTimeField()
    person = PersonAnswer()


class Sessions(APIView):
    """Sign in: POST name and password, get a token."""

    authentication_classes = ()
    permission_classes = (Anyone,)

    @extend_schema(request=SignIn, responses={201: SessionAnswer})
    def post(self, request: Request) -> Response:
        """Give out a new token. Needs no Idempotency-Key: a repeated sign-in is another token."""
        asked = SignIn(data=request.data)
        refuse_unknown_members(asked, request.data)
        asked.is_valid(raise_exception=True)
        person = _known(request, **asked.validated_data)
        token, expires_at = _new_token(person)
        user_logged_in.send(sender=User, request=request._request, user=person)
        answer = SessionAnswer({"token": token, "expires_at": expires_at, "person": person})
        return Response(answer.data, status=201, headers={"Cache-Control": "no-store"})


class CurrentSession(APIView):
    """Sign out: DELETE the session of the token that is sent."""

    permission_classes = (SignedIn,)

    @extend_schema(responses={204: None})
    def delete(self, request: Request) -> Response:
        """The token that was sent is no longer good."""
        if isinstance(request.auth, AuthToken):
            request.auth.delete()
        return _signed_out(request)


class AllSessions(APIView):
    """Sign out everywhere: DELETE all tokens of the person who asks."""

    permission_classes = (SignedIn,)

    @extend_schema(responses={204: None})
    def delete(self, request: Request) -> Response:
        """No token of this person is good any longer."""
        AuthToken.objects.filter(user=person_of(request)).delete()
        return _signed_out(request)


class Me(APIView):
    """GET: who is signed in, with roles and rights."""

    permission_classes = (SignedIn,)

    @extend_schema(responses=PersonAnswer)
    def get(self, request: Request) -> Response:
        """Return the person whose token it is."""
        return Response(PersonAnswer(person_of(request)).data)


def _known(request: Request, username: str, password: str) -> User:
    """Return the person. Raises WrongPassword, LockedOut."""
    person = authenticate(request=request._request, username=username, password=password)
    if getattr(request._request, "axes_locked_out", False):
        raise LockedOut
    if not isinstance(person, User):
        raise WrongPassword
    return person


def _new_token(person: User) -> tuple[str, datetime]:
    """Return a new token and when it expires. Raises TooManyTokens."""
    valid = AuthToken.objects.filter(user=person, expiry__gt=now()).count()
    if valid >= knox_settings.TOKEN_LIMIT_PER_USER:
        raise TooManyTokens(person=person, count=valid)
    row, token = AuthToken.objects.create(user=person)
    return token, row.expiry


def _signed_out(request: Request) -> Response:
    user_logged_out.send(sender=User, request=request._request, user=request.user)
    return Response(status=204)
