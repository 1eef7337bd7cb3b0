"""Files that are sent while they are written."""

from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.models import Workshop
from shop.documents.everything import everything_zip


def send_everything(workshop: Workshop) -> StreamingHttpResponse:
    """Return the file of all that is in the books now; the first of it leaves at once."""
    made_at = timezone.localtime()
    answer = StreamingHttpResponse(
        everything_zip(workshop, made_at), content_type="application/zip"
    )
    answer["Content-Disposition"] = f'attachment; filename="gramil-{made_at:%Y-%m-%d}.zip"'
    answer["Cache-Control"] = "no-store"
    return answer
