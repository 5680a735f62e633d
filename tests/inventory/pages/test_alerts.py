"""The pages of alerts: one's own first, narrowed, counted in the band, and worked on."""

import uuid
from datetime import timedelta

from brewery.kernel.clock import now
from inventory.models import Alert
from inventory.services.alerts import look
from tests.brewhouse import Brewhouse
from tests.signing import signed_in


def test_people_find_their_own_alerts_are_told_how_many_and_say_what_they_do(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.decide("M1", "rejected", hours=5, reason="mould")
    quality, brewing = signed_in(brewhouse, "quality"), signed_in(brewhouse, "brewing")
    assert "Nothing was looked for yet" in quality.get("/alerts/").content.decode()
    look("rejected_here")
    assert "is rejected and still here" in quality.get("/alerts/").content.decode()
    assert "Nothing of this kind." in brewing.get("/alerts/").content.decode()
    assert "is rejected" in brewing.get("/alerts/?owner=&standing=due").content.decode()
    assert 'class="count">1<' in quality.get("/alerts/count/").content.decode()
    assert "count" not in brewing.get("/alerts/count/").content.decode()
    page = f"/alerts/{Alert.objects.get().pk}/"
    until = (now() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    said = {"kind": "snoozed", "until": until, "note": "collected at noon", "request_id": str(uuid.uuid4())}
    assert quality.post(page, {**said, "until": ""}).status_code == 400
    assert quality.post(page, said).status_code == 303
    assert "collected at noon" in quality.get(page).content.decode()
    assert "Nothing of this kind." in quality.get("/alerts/").content.decode()
    assert "Put off until" in quality.get("/alerts/?standing=put_off").content.decode()
    brewhouse.decide("M1", "released", hours=6)
    look("rejected_here")
    assert "Gone since" in quality.get("/alerts/?standing=closed").content.decode()
    assert "Say what is done" not in quality.get(page).content.decode()
