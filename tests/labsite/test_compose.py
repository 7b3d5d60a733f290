"""The containers are given what the code reads."""

import re
from pathlib import Path

import pytest
import yaml

from labsite.environment import read_environment

ROOT = Path(__file__).parents[2]
# Fixed by what a container is: nobody debugs there, HTTPS ends in front of it, and it
# keeps no files.
FIXED = {"DEBUG", "HTTPS_ONLY", "DATA_FOLDER"}
IN_THE_FILE = {
    "SECRET_KEY": "a long random text",
    "ALLOWED_HOSTS": "bench.example",
    "POSTGRES_PASSWORD": "of-the-database",
}


@pytest.fixture(scope="module")
def services():
    text = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
    return yaml.safe_load(text)["services"]


def filled_in(value, given):
    """Put in variables as the composer does: ``${NAME:-otherwise}``."""
    pattern = r"\$\{(\w+):([-?])([^}]*)\}"
    return re.sub(pattern, lambda one: given.get(one[1]) or one[3], str(value))


@pytest.mark.parametrize("name", ["migrate", "web", "worker", "scheduler"])
def test_every_setting_that_the_code_reads_reaches_a_container(services, name):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    lines = [line for line in readme.splitlines() if line.startswith("| `")]
    described = {
        variable
        for line in lines
        for variable in re.findall(r"`([A-Z][A-Z_]+)`", line.split("|")[1])
    }

    assert described - FIXED - set(services[name]["environment"]) == set()


@pytest.mark.parametrize("name", ["migrate", "web", "worker", "scheduler"])
def test_the_code_takes_what_a_container_is_given(services, name):
    given = {
        variable: filled_in(value, IN_THE_FILE)
        for variable, value in services[name]["environment"].items()
    }

    environment = read_environment(given)

    assert environment.trusted_proxies == 1
    assert environment.https_only
    assert environment.metrics_token == ""
    assert "of-the-database@postgres" in environment.database_url


def test_web_processes_are_counted_by_the_variable_that_the_image_leaves_open(services):
    image = (ROOT / "Dockerfile").read_text(encoding="utf-8")

    assert filled_in(services["web"]["environment"]["WEB_CONCURRENCY"], {}) == "2"
    assert "ENV WEB_CONCURRENCY=2" in image
    assert "--workers" not in image
