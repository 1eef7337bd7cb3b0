"""Which piece for a material row of a quote, in the API."""

from drf_spectacular.utils import extend_schema
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.views import ActionView
from quotes.models import QuoteMaterial
from shop.builds.api.pieces import CandidatesData, ProposalsAsked, proposals


class RowProposalsView(ActionView):
    """The best pieces for a material row of a quote."""

    @extend_schema(parameters=[ProposalsAsked], responses=CandidatesData)
    def get(self, request: Request, pk: int, row_pk: int) -> Response:
        """Propose pieces for the row; what is held for this quote counts as free."""
        rows = QuoteMaterial.objects.select_related("quote", "material", "template_line")
        row = get_object_or_404(rows, pk=row_pk, quote=pk)
        return proposals(request, row.template_line, row.material, row.quote.holder)
