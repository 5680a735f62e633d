"""What the environment may say, and the one sentence that answers what it may not."""

from pathlib import Path

import pytest

from brewery.project.environment import DEVELOPMENT_SECRET, WrongSetting, read_environment

BASE = Path("/somewhere")
SECRET = "p9Yk2Vw7sQe4Zr8Tn3Lb6Hc1Xm5Jd0Ga-uFiOqWzKxEvRtBy"
PRODUCTION = {
    "GRAINWARD_ENV": "production",
    "SECRET_KEY": SECRET + "abcdef",
    "DATABASE_URL": "postgres://grainward:pass@db:5432/grainward",
    "ALLOWED_HOSTS": "stock.example",
}


def read(**variables: str):
    return read_environment(variables, base_dir=BASE)


def test_an_empty_environment_is_a_development_one_on_sqlite():
    found = read()
    assert (found.production, found.debug, found.https_only, found.redis_url) == (False, True, False, "")
    assert found.secret_key == DEVELOPMENT_SECRET
    assert found.database["ENGINE"] == "django.db.backends.sqlite3"
    assert found.database["NAME"] == "/somewhere/.data/grainward.sqlite3"
    assert found.database["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert found.allowed_hosts == ["localhost", "127.0.0.1", "[::1]"]
    assert found.brewery_time_zone == "Europe/Berlin"


def test_a_complete_production_environment_is_accepted_and_serves_https_only():
    found = read(**PRODUCTION)
    assert (found.production, found.debug, found.https_only) == (True, False, True)
    assert found.allowed_hosts == ["stock.example"]


def test_postgresql_connections_come_from_the_pool_and_are_not_kept_by_django():
    database = read(DATABASE_URL="postgresql://grainward:p%40ss@db:5433/stock?sslmode=require").database
    assert database["ENGINE"] == "django.db.backends.postgresql"
    assert (database["HOST"], database["PORT"], database["NAME"]) == ("db", 5433, "stock")
    assert (database["USER"], database["PASSWORD"]) == ("grainward", "p@ss")
    assert database["CONN_MAX_AGE"] == 0
    assert database["OPTIONS"]["pool"]["max_size"] >= 4
    assert database["OPTIONS"]["sslmode"] == "require"
    assert "jit=off" in database["OPTIONS"]["options"]


@pytest.mark.parametrize(
    ("url", "name"),
    [
        ("sqlite:///stock.sqlite3", "/somewhere/stock.sqlite3"),
        ("sqlite:////srv/stock.sqlite3", "/srv/stock.sqlite3"),
        ("sqlite://:memory:", ":memory:"),
    ],
)
def test_a_sqlite_file_lies_under_the_checkout_unless_its_path_is_absolute(url: str, name: str):
    assert read(DATABASE_URL=url).database["NAME"] == name


def test_lists_are_split_at_commas_and_lose_their_blanks():
    found = read(ALLOWED_HOSTS=" a.example , b.example,", CSRF_TRUSTED_ORIGINS="https://a.example,https://b.example")
    assert found.allowed_hosts == ["a.example", "b.example"]
    assert found.csrf_trusted_origins == ["https://a.example", "https://b.example"]


@pytest.mark.parametrize("word", ["true", "Yes", "on", "1"])
def test_a_switch_is_on_for_each_word_that_says_so(word: str):
    assert read(HTTPS_ONLY=word).https_only is True


@pytest.mark.parametrize("word", ["false", "No", "off", "0"])
def test_a_switch_is_off_for_each_word_that_says_so(word: str):
    assert read(**PRODUCTION, HTTPS_ONLY=word).https_only is False


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("GRAINWARD_ENV", "staging"),
        ("DEBUG", "perhaps"),
        ("HTTPS_ONLY", "maybe"),
        ("DATABASE_URL", "mysql://db/stock"),
        ("DATABASE_URL", "stock.sqlite3"),
        ("REDIS_URL", "localhost:6379"),
        ("CSRF_TRUSTED_ORIGINS", "stock.example"),
        ("BREWERY_TIME_ZONE", "Mars/Olympus"),
        ("GS1_COMPANY_PREFIX", "952-1234"),
        ("GS1_COMPANY_PREFIX", "952"),
        ("GS1_COMPANY_PREFIX", "9521234567890"),
        ("TRUSTED_PROXIES", "-1"),
        ("TRUSTED_PROXIES", "11"),
        ("MOCK_RECALL_DAYS", "often"),
        ("MOCK_RECALL_DAYS", "3651"),
        ("QUALITY_WITHIN_DAYS", "-1"),
        ("DUTY_STRENGTH_DAYS", "-1"),
        ("DUTY_DUE_DAYS", "soon"),
        ("BEER_Q10", "1.4"),
        ("BEER_Q10", "2,5"),
        ("BEER_KEPT_AT_C", "31"),
    ],
)
def test_a_wrong_value_is_refused_in_one_sentence_with_name_value_and_remedy(name: str, value: str):
    with pytest.raises(WrongSetting) as refusal:
        read(**{name: value})
    sentence = str(refusal.value)
    assert sentence.startswith(f"The environment variable {name} is {value!r}; set it to ")
    assert sentence.endswith(".")
    assert "\n" not in sentence


@pytest.mark.parametrize("name", ["SECRET_KEY", "DATABASE_URL", "ALLOWED_HOSTS"])
def test_production_does_not_start_without_what_it_needs(name: str):
    variables = {key: value for key, value in PRODUCTION.items() if key != name}
    with pytest.raises(WrongSetting, match=rf"^The environment variable {name} is not set; in production set it to "):
        read(**variables)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("DEBUG", "true"),
        ("ALLOWED_HOSTS", "*"),
        ("SECRET_KEY", "short"),
        ("SECRET_KEY", "abcd" * 20),
        ("SECRET_KEY", "django-insecure-" + SECRET),
        ("SECRET_KEY", DEVELOPMENT_SECRET),
    ],
)
def test_production_refuses_what_development_allows(name: str, value: str):
    read(**{name: value})
    with pytest.raises(WrongSetting, match=f"The environment variable {name} is "):
        read(**{**PRODUCTION, name: value})


@pytest.mark.parametrize(
    ("name", "value", "secret"),
    [
        ("SECRET_KEY", "too-short-hunter2", "hunter2"),
        ("DATABASE_URL", "mysql://me:hunter2@db/stock", "hunter2"),
        ("DATABASE_URL", "postgres://me:hunter2@db:port/stock", "hunter2"),
        ("DATABASE_URL", "postgres://me:hunter2@db:5432/", "hunter2"),
        ("REDIS_URL", "http://:hunter2@redis", "hunter2"),
    ],
)
def test_a_refusal_never_shows_a_password(name: str, value: str, secret: str):
    with pytest.raises(WrongSetting) as refusal:
        read(**{**PRODUCTION, name: value})
    assert name in str(refusal.value)
    assert secret not in str(refusal.value)
