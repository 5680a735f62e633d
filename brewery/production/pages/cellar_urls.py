"""The pages below cellar/. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.cellar.additions import AdditionPage, DilutionPage
from brewery.production.pages.cellar.board import CellarBoard
from brewery.production.pages.cellar.care import CleaningPage, IntoServicePage, OutOfServicePage, WithdrawalPage
from brewery.production.pages.cellar.corrections import DumpPage, GaugePage, UndoPage
from brewery.production.pages.cellar.dry_hops import DryHopPage
from brewery.production.pages.cellar.filtrations import FiltrationPage
from brewery.production.pages.cellar.harvests import HarvestPage
from brewery.production.pages.cellar.logger_file import LoggerFilePage
from brewery.production.pages.cellar.pitches import PitchPage
from brewery.production.pages.cellar.readings import CorrectionPage, ReadingsPage
from brewery.production.pages.cellar.tank import TankPage
from brewery.production.pages.cellar.transfers import KraeusenPage, TransferPage

urlpatterns = [
    path("", CellarBoard.as_view(), name="cellar"),
    path("<path:code>/pitch/", PitchPage.as_view(), name="cellar-pitch"),
    path("<path:code>/harvest/", HarvestPage.as_view(), name="cellar-harvest"),
    path("logger-file/", LoggerFilePage.as_view(), name="cellar-logger-file"),
    path("<path:code>/readings/", ReadingsPage.as_view(), name="cellar-readings"),
    path("<path:code>/reading-correction/", CorrectionPage.as_view(), name="cellar-reading-correction"),
    path("<path:code>/transfer/", TransferPage.as_view(), name="cellar-transfer"),
    path("<path:code>/kraeusen/", KraeusenPage.as_view(), name="cellar-kraeusen"),
    path("<path:code>/dry-hop/", DryHopPage.as_view(), name="cellar-dry-hop"),
    path("<path:code>/addition/", AdditionPage.as_view(), name="cellar-addition"),
    path("<path:code>/dilution/", DilutionPage.as_view(), name="cellar-dilution"),
    path("<path:code>/filtration/", FiltrationPage.as_view(), name="cellar-filtration"),
    path("<path:code>/gauge/", GaugePage.as_view(), name="cellar-gauge"),
    path("<path:code>/dump/", DumpPage.as_view(), name="cellar-dump"),
    path("<path:code>/undo/", UndoPage.as_view(), name="cellar-undo"),
    path("<path:code>/cleaning/", CleaningPage.as_view(), name="cellar-cleaning"),
    path("<path:code>/cleaning-withdrawal/", WithdrawalPage.as_view(), name="cellar-withdrawal"),
    path("<path:code>/out-of-service/", OutOfServicePage.as_view(), name="cellar-out-of-service"),
    path("<path:code>/into-service/", IntoServicePage.as_view(), name="cellar-into-service"),
    path("<path:code>/", TankPage.as_view(), name="cellar-tank"),
]
