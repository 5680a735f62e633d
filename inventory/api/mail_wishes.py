"""What one wishes to be mailed, over the API: each person for themselves."""

from typing import Any, ClassVar

from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.views import Recording, RecordList, person_of
from inventory.models import MailWish
from inventory.services.mail_wishes import wish_for_mail


class MailWishAnswer(serializers.ModelSerializer[MailWish]):
    """Which mails the person has from then on; `without` are kinds of alert of which none is sent."""

    without = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = MailWish
        fields = ("id", "has_digest", "has_urgent", "without", "told_at")


class MailWishAsked(serializers.Serializer[Any]):
    """The daily digest, and urgent alerts at once; of all kinds of alert but those `without`."""

    has_digest = serializers.BooleanField()
    has_urgent = serializers.BooleanField()
    without = serializers.ListField(child=TextField(max_length=40), required=False)


class MailWishes(RecordList, Recording[MailWish]):
    """What one wished, the newest first, which counts; without any, the digest alone is sent. POST: wish anew."""

    right: ClassVar[Right] = Right.HEED
    queryset = MailWish.objects.none()
    serializer_class = MailWishAnswer
    asked = MailWishAsked
    answered = MailWishAnswer

    def get_queryset(self) -> QuerySet[MailWish]:
        """Return those of the person who asks."""
        if getattr(self, "swagger_fake_view", False):
            return MailWish.objects.none()
        return MailWish.objects.filter(person=person_of(self.request))

    def record(self, **asked: Any) -> MailWish:
        """Wish so."""
        return wish_for_mail(**asked)
