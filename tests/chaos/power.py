"""Cuts the power while a shop works, and looks whether what was acknowledged is there.

    GRAMIL_DATA=MOUNT/data python -m tests.chaos.power MOUNT CUTS [WEAKENED]
    GRAMIL_DATA=FOLDER python -m tests.chaos.power kill TIMES

prints one line of JSON: how many cuts and acts acknowledged, and what is wrong afterwards.
WEAKENED is `database` (SQLite syncs less) or `files` (they are written as Django does), to see that
something is lost then.
"""

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from datetime import UTC, date, datetime
from decimal import Decimal
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from tests.chaos.cut_disk import cut_power, in_a_process, make_disk, mounted

ON = date(2027, 3, 1)
NOW = datetime(2027, 3, 1, 9, tzinfo=UTC)
DRAFTS = 60
LONGEST_WORK_S = 1.5


def prepare(say):
    """Open a small workshop with drafts to issue, a client who pays and a piece to photograph."""
    from django.core.management import call_command

    from inventory.ledger.services.incoming import NewLine
    from inventory.models import Workshop
    from inventory.purchasing.services.deliveries import receive_delivery
    from tests.factories import make_material
    from tests.quotes.factories import make_commission, make_policy, make_quote
    from tests.shop.factories import make_template, make_template_stage

    call_command("migrate", verbosity=0)
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    commission = make_commission()
    for _ in range(DRAFTS):
        make_quote(commission, template)
    top = make_material("spruce set", kept_as="piece", replacement_price=Decimal("63.19"))
    line = NewLine(material=top, quantity=Decimal(1), price=Decimal(90))
    receive_delivery(received_on=ON, lines=[line], now=NOW)
    from django.db import connections

    connections.close_all()


def work(say, seed, weakened):
    """Go on taking money, issuing quotes and keeping photos, and say each once it is done."""
    from django.core.files.storage import FileSystemStorage, default_storage
    from django.core.files.uploadedfile import SimpleUploadedFile
    from django.db import connection
    from PIL import Image

    from inventory.models import Lot
    from inventory.shelf.services.records import add_photo
    from quotes.invoicing.services.payments import record_payment
    from quotes.models import Client, Quote
    from quotes.papers.documents import printing
    from quotes.quoting.services.issue import issue_quote

    # What is tried is how a paper is kept, not how it is laid out.
    printing._laid_out = lambda html, *_: b"%PDF-" + sha256(html.encode()).digest() * 900
    connection.ensure_connection()
    if weakened == "database":
        connection.cursor().execute("PRAGMA synchronous = NORMAL")
    if weakened == "files":
        default_storage._wrapped = FileSystemStorage()
    # Somebody else reads too: the last one to close would bring the journal into the database.
    if connection.vendor == "sqlite":
        other = sqlite3.connect(connection.settings_dict["NAME"])
        other.execute("SELECT count(*) FROM quotes_quote").fetchone()
    client, lot = Client.objects.get(), Lot.objects.get()
    drafts = iter(Quote.objects.filter(state=Quote.State.DRAFT).order_by("pk"))
    dice = random.Random(seed)
    while True:
        what = dice.choice(["payment", "payment", "quote", "photo"])
        if what == "payment":
            paid = record_payment(client=client, amount=Decimal(10), received_on=ON, now=NOW)
            say(f"payment {paid.number}")
        elif what == "photo":
            picture = BytesIO()
            colour = tuple(dice.randrange(256) for _ in range(3))
            Image.new("RGB", (300, 200), colour).save(picture, "JPEG")
            upload = SimpleUploadedFile("top.jpg", picture.getvalue())
            photo = add_photo(lot=lot, upload=upload, on=ON)
            say(f"photo {photo.image.name} {sha256(photo.image.read()).hexdigest()}")
        elif (draft := next(drafts, None)) is not None:
            sent = issue_quote(quote=draft, on=ON, now=NOW)
            say(f"quote {sent.number} {sent.document_sha256}")


def look(say, acknowledged):
    """Say what was lost of `acknowledged`, and what else is wrong."""
    from inventory.models import Photo
    from quotes.models import Payment, Quote
    from shop.copies.queries import database_fault

    if fault := database_fault():
        say(fault)
    known = {f"payment {number}" for number in Payment.objects.values_list("number", flat=True)}
    for quote in Quote.objects.exclude(document=""):
        known.add(f"quote {quote.number} {quote.document_sha256}")
        if hash_of(quote.document) != quote.document_sha256:
            say(f"half a paper: {quote.number}")
    for photo in Photo.objects.all():
        known.add(f"photo {photo.image.name} {hash_of(photo.image)}")
        if "missing" in (hash_of(photo.image), hash_of(photo.small)):
            say(f"no photo: {photo.image.name}")
    for line in acknowledged:
        if line not in known:
            say(f"lost: {line}")


def hash_of(file):
    try:
        with file.open("rb") as opened:
            return sha256(opened.read()).hexdigest()
    except OSError:
        return "missing"


def one_cut(image, mount, seed, weakened):
    """Return what was acknowledged before the cut, and what is wrong after it."""
    dice = random.Random(seed)
    with mounted(image, mount):
        child, said = in_a_process(work, seed, weakened)
        first = said.readline()
        time.sleep(dice.random() * LONGEST_WORK_S)
        cut_power(mount)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        acknowledged = [line.strip() for line in [first, *said]]
    if not first:
        raise RuntimeError("The shop did no work at all.")
    with mounted(image, mount):
        child, said = in_a_process(look, acknowledged)
        wrong = [line.strip() for line in said]
        if os.waitpid(child, 0)[1]:
            wrong.append("nobody could look")
    return acknowledged, wrong


def one_kill(seed):
    """Return what was acknowledged before the process was killed, and what is wrong after it."""
    child, said = in_a_process(work, seed, "")
    first = said.readline()
    time.sleep(random.Random(seed).random() * LONGEST_WORK_S)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    acknowledged = [line.strip() for line in [first, *said] if line.endswith("\n")]
    child, said = in_a_process(look, acknowledged)
    wrong = [line.strip() for line in said]
    if os.waitpid(child, 0)[1]:
        wrong.append("nobody could look")
    return acknowledged, wrong


def kill_again_and_again(times):
    """Work on one database and kill whoever works, again and again; print what power cuts do."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    django.setup()
    child, _ = in_a_process(prepare)
    if os.waitpid(child, 0)[1]:
        raise RuntimeError("The workshop could not be prepared.")
    acknowledged, wrong = 0, []
    for seed in range(int(times)):
        told, found = one_kill(seed)
        acknowledged += len(told)
        wrong += [f"kill {seed}: {line}" for line in found]
    print(json.dumps({"cuts": int(times), "acknowledged": acknowledged, "wrong": wrong}))


def main(mount, cuts, weakened=""):
    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    mount = Path(mount)
    whole, used = mount.with_suffix(".whole"), mount.with_suffix(".used")
    make_disk(whole)
    with mounted(whole, mount):
        import django

        django.setup()
        child, _ = in_a_process(prepare)
        if os.waitpid(child, 0)[1]:
            raise RuntimeError("The workshop could not be prepared.")
    acknowledged, wrong = 0, []
    for seed in range(int(cuts)):
        subprocess.run(["cp", "--sparse=always", str(whole), str(used)], check=True)
        told, found = one_cut(used, mount, seed, weakened)
        acknowledged += len(told)
        wrong += [f"cut {seed}: {line}" for line in found]
    print(json.dumps({"cuts": int(cuts), "acknowledged": acknowledged, "wrong": wrong}))


if __name__ == "__main__":
    if sys.argv[1] == "kill":
        kill_again_and_again(sys.argv[2])
    else:
        main(*sys.argv[1:])
