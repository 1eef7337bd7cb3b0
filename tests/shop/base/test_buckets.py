"""Papers and photos in a bucket: as on a disk, tried against a server that speaks S3."""

import importlib.util
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.files.base import ContentFile

from shop.launch.buckets import kept_in_a_bucket
from shop.launch.telling import Problem

needs_server = pytest.mark.skipif(
    not all(importlib.util.find_spec(name) for name in ("moto", "flask", "storages")),
    reason="django-storages and moto's server are optional",
)


def test_a_line_names_bucket_folder_and_server():
    line = "s3://books/turnip-hollow?endpoint=https://objects.example&region=eu-1"
    assert kept_in_a_bucket(line)["OPTIONS"] == {
        "bucket_name": "books",
        "location": "turnip-hollow",
        "endpoint_url": "https://objects.example",
        "region_name": "eu-1",
    }
    assert kept_in_a_bucket("s3://books")["OPTIONS"] == {"bucket_name": "books", "location": ""}


@pytest.mark.parametrize("line", ["books", "https://books.example", "s3://", "s3://b?colour=red"])
def test_a_line_that_names_no_bucket_is_told(line):
    with pytest.raises(Problem, match="names no bucket"):
        kept_in_a_bucket(line)


@pytest.fixture
def bucket(monkeypatch):
    import boto3
    from django.utils.module_loading import import_string
    from moto.server import ThreadedMotoServer

    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "invented")
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    where = "http://{}:{}".format(*server.get_host_and_port())
    boto3.client("s3", endpoint_url=where, region_name="us-east-1").create_bucket(Bucket="books")
    kept = kept_in_a_bucket(f"s3://books/shop?endpoint={where}&region=us-east-1")
    yield import_string(kept["BACKEND"])(**kept["OPTIONS"])
    server.stop()


@needs_server
@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_a_file_is_given_back_as_it_came_and_none_is_replaced(bucket):
    first = bucket.save("photos/top.jpg", ContentFile(b"one"))
    second = bucket.save("photos/top.jpg", ContentFile(b"two"))
    assert first == "photos/top.jpg"
    assert second != first
    for name, content in ((first, b"one"), (second, b"two")):
        with bucket.open(name) as opened:
            assert opened.read() == content
        assert bucket.size(name) == 3
    bucket.delete(first)
    assert not bucket.exists(first)


@needs_server
@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_of_many_who_take_one_name_at_once_none_loses_its_file(bucket):
    with ThreadPoolExecutor(8) as many:
        names = list(
            many.map(lambda n: bucket.save("top.jpg", ContentFile(f"{n}".encode())), range(16))
        )
    assert len(set(names)) == 16
    for number, name in enumerate(names):
        with bucket.open(name) as opened:
            assert opened.read() == f"{number}".encode()


@needs_server
@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_a_file_that_is_missing_is_told_as_on_a_disk(bucket, settings):
    with pytest.raises(FileNotFoundError) as missing:
        bucket.open("photos/gone.jpg")
    assert missing.value.filename == f"{settings.MEDIA_ROOT}/photos/gone.jpg"


@needs_server
@pytest.mark.django_db(transaction=True)
@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_a_photo_and_a_copy_of_the_books_go_by_the_bucket(bucket, monkeypatch, tmp_path, workshop):
    from datetime import UTC, datetime
    from io import BytesIO
    from zipfile import ZipFile

    from django.core.files.storage import default_storage
    from django.core.files.uploadedfile import SimpleUploadedFile
    from PIL import Image

    from inventory.shelf.services.records import add_photo
    from shop.copies.services import keep_copy
    from tests.shop.shelf_pieces import make_tops

    monkeypatch.setattr(default_storage, "_wrapped", bucket)
    picture = BytesIO()
    Image.new("RGB", (300, 200), "tan").save(picture, "JPEG")
    upload = SimpleUploadedFile("top.jpg", picture.getvalue())
    now = datetime(2027, 3, 16, 9, tzinfo=UTC)
    photo = add_photo(lot=make_tops().lots.first(), upload=upload, on=now.date())
    assert bucket.exists(photo.image.name)
    assert photo.image.size > 0
    with ZipFile(keep_copy(folder=tmp_path, made_at=now)) as copy:
        assert f"media/{photo.image.name}" in copy.namelist()
        assert f"media/{photo.small.name}" in copy.namelist()
