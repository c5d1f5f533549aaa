"""A company's server: PostgreSQL, accounts, two servers on one database, workers beside them, https."""

import io
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path

import httpx
from PIL import Image

from chaincase.register.ids import uuid7
from registers import Server
from serving import PATIENCE, Serving, serving, until

PASSWORD = "warm gravel under nine boots"  # noqa: S105 - of nobody
SAMPLES = "sample,mark,pitch\n" + "".join(f"S{n},WH132,6.05 in\n" for n in range(75))


def browser_of(server: Serving) -> httpx.Client:
    """Give a client that sends what a browser sends from our own pages, and keeps cookies."""
    headers = {"sec-fetch-site": "same-origin"}
    return httpx.Client(base_url=server.address, headers=headers, trust_env=False, timeout=PATIENCE)


@contextmanager
def signed_in(server: Serving, email: str) -> Iterator[httpx.Client]:
    with browser_of(server) as client:
        answer = client.post("/sign-in", data={"email": email, "password": PASSWORD})
        assert answer.status_code == 303, answer.text
        yield client


def accept(server: Serving, address: str, name: str, **more: str) -> int:
    with browser_of(server) as client:
        page = address.removeprefix(server.address)
        assert "Make your account" in client.get(page).text
        return client.post(page, data={"name": name, "password": PASSWORD, **more}).status_code


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(out, "JPEG")
    return out.getvalue()


def test_a_company_works_on_two_servers_with_workers_beside_them(
    postgres: Server, postgres_template: str, tmp_path: Path
) -> None:
    url = postgres.database(postgres_template)
    given = ("--accounts", "--url", url, "--no-jobs")
    with serving(tmp_path, *given) as first, serving(tmp_path, *given) as second:
        assert "/invitation/" in first.line
        assert accept(first, first.line, "lead", email="lead@example.com") == 303
        with signed_in(second, "lead@example.com") as lead:
            for role in ("engineer", "reader"):
                wanted = {"email": f"{role}@example.com", "role": role}
                invited = lead.post("/api/v1/people/invitations", json=wanted).json()["address"]
                # Made by the one server, taken at the other: they share the secret of their folder.
                assert accept(first, invited.replace(second.address, first.address), role) == 303
        with signed_in(first, "engineer@example.com") as one, signed_in(second, "engineer@example.com") as two:
            _work_on_a_case(one, two)
            survey = one.post("/api/v1/surveys", params={"name": "samples.csv"}, content=SAMPLES).json()
            assert survey["waiting"] == survey["chunks"] > 1
            with serving(tmp_path, "--url", url, command="work"):
                state = until(lambda: (s := two.get(f"/api/v1/jobs/{survey['id']}").json())["ended"] and s)
                later = two.post("/api/v1/surveys", params={"name": "samples.csv"}, content=SAMPLES).json()
                until(lambda: one.get(f"/api/v1/jobs/{later['id']}").json()["ended"])
            assert (state["done"], state["failed"]) == (survey["chunks"], 0)
            answers = one.get(f"/api/v1/surveys/{survey['id']}/answers.csv").text.splitlines()
            assert len(answers) == 76
        with signed_in(second, "reader@example.com") as reader:
            assert reader.get("/api/v1/cases/C-1").status_code == 200
            assert reader.post("/api/v1/cases", json={"case": "C-2"}).status_code == 403
            assert reader.get("/people").status_code == 403
        _close_an_account(first, second)


def _work_on_a_case(one: httpx.Client, two: httpx.Client) -> None:
    """Work on a case through one server and find it through the other."""
    assert one.post("/api/v1/cases", json={"case": "C-1", "content": {"title": "Kiln feed"}}).status_code == 201
    reading = {
        "id": uuid7(),
        "kind": "add",
        "path": "evidence.readings",
        "value": {"dimension": "pitch", "value": "4 in"},
    }
    assert two.post("/api/v1/cases/C-1/events", json={"events": [reading]}).json()["results"][0]["outcome"] == "applied"
    assert (
        one.post("/api/v1/cases/C-1/events", json={"events": [reading]}).json()["results"][0]["outcome"] == "repeated"
    )
    headers = {"content-type": "image/jpeg"}
    kept = one.post("/api/v1/cases/C-1/photographs", content=picture(), headers=headers).json()
    assert two.get(f"/api/v1/photographs/{kept['id']}").content.startswith(b"\xff\xd8\xff")
    assert [each["key"] for each in two.get("/api/v1/search", params={"text": "kiln"}).json()] == ["C-1"]
    assert two.get("/api/v1/cases/C-1/papers/sheet.pdf").content.startswith(b"%PDF")
    assert two.get("/bench/C-1").status_code == 200
    assert two.get("/register").status_code == 200


def _close_an_account(first: Serving, second: Serving) -> None:
    """Close an account through one server; at the other it is out at once."""
    with signed_in(second, "engineer@example.com") as engineer, signed_in(first, "lead@example.com") as lead:
        assert engineer.get("/api/v1/account").json() == {"name": "engineer", "role": "engineer"}
        row = next(each for each in lead.get("/api/v1/people").json() if each["role"] == "engineer")
        change = {"version": row["version"], "role": "engineer", "disabled": True}
        assert lead.put(f"/api/v1/people/{row['id']}", json=change).status_code == 200
        assert engineer.get("/api/v1/account").status_code == 401


def certificate(folder: Path) -> tuple[Path, Path]:
    """Make a certificate of this computer, signed by itself."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import NameOID

    key, name = ec.generate_private_key(ec.SECP256R1()), x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "here")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(IPv4Address("127.0.0.1"))]), critical=False)
        .sign(key, hashes.SHA256())
    )
    paths = folder / "certificate.pem", folder / "key.pem"
    paths[0].write_bytes(made.public_bytes(serialization.Encoding.PEM))
    plain = serialization.NoEncryption()
    paths[1].write_bytes(key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain))
    return paths


def test_https_with_a_certificate_of_ones_own(tmp_path: Path) -> None:
    public, private = certificate(tmp_path)
    trusting = ssl.create_default_context(cafile=str(public))
    with serving(tmp_path / "data", "--accounts", "--certificate", str(public), "--key", str(private)) as server:
        assert server.line.startswith("https://127.0.0.1:")
        headers = {"sec-fetch-site": "same-origin"}
        with httpx.Client(base_url=server.address, headers=headers, trust_env=False, verify=trusting) as client:
            page = server.line.removeprefix(server.address)
            answer = client.post(page, data={"name": "lead", "email": "lead@example.com", "password": PASSWORD})
            assert answer.status_code == 303
            cookies = [each for each in answer.headers.get_list("set-cookie") if "session" in each]
            assert cookies[0].startswith("__Host-chaincase-session=")
            assert "Secure" in cookies[0]
            assert client.get("/api/v1/account").json()["role"] == "admin"
            assert "max-age" in client.get("/register").headers["strict-transport-security"]
