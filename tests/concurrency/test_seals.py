"""Sealing while others write and seal: each request is under one seal, and the chain has no gap."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections

from brewery.kernel.models import Request, Seal, SealedRequest
from brewery.kernel.queries.seals import broken
from brewery.kernel.services.seals import seal_record
from tests.brewhouse import Brewhouse

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

WRITERS, EACH, SEALERS = 4, 8, 3


def test_each_request_is_under_one_seal_whoever_writes_and_seals_meanwhile(brewhouse: Brewhouse):
    start = threading.Barrier(WRITERS + SEALERS, timeout=60)

    def write(number: int) -> None:
        try:
            start.wait()
            for step in range(EACH):
                brewhouse.deliver("SAAZ", f"H{number}-{step}", "5 kg", note=f"{number}-{step}")
        finally:
            connections.close_all()

    def seal(_: int) -> None:
        try:
            start.wait()
            for _ in range(EACH):
                seal_record()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(WRITERS + SEALERS) as threads:
        done = [threads.submit(write, number) for number in range(WRITERS)]
        done += [threads.submit(seal, number) for number in range(SEALERS)]
        for one in done:
            one.result()
    seal_record()
    assert SealedRequest.objects.count() == Request.objects.count()
    assert Request.objects.filter(action="receive_delivery").count() == WRITERS * EACH
    assert [one.previous_id for one in Seal.objects.order_by("pk")][1:] == list(
        Seal.objects.order_by("pk").values_list("pk", flat=True)
    )[:-1]
    assert list(broken()) == []
