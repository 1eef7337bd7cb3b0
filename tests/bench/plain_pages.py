"""The stock list as bare as it can be: SQL by hand, and the frameworks without the shop's own."""

from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import engines
from django.urls import include, path
from rest_framework import serializers
from rest_framework.generics import ListAPIView

from inventory.fields import MoneyField, QuantityField
from inventory.models import Material
from inventory.shelf.api.rows import MaterialSerializer

LIST_SQL = """
    SELECT m.id, m.name, f.name, m.on_hand / 1000.0, m.promised / 1000.0,
           (m.on_hand - m.promised) / 1000.0, m.book_cost / 1000.0, m.unit,
           EXISTS (SELECT 1 FROM inventory_stockentry e
                   WHERE e.material_id = m.id AND e.to_reconcile AND e.reconciled_at IS NULL)
    FROM inventory_material m JOIN inventory_family f ON f.id = m.family_id
    WHERE NOT m.is_archived ORDER BY m.name LIMIT 50
"""
API_SQL = """
    SELECT m.*, f.name AS family_name
    FROM inventory_material m JOIN inventory_family f ON f.id = m.family_id
    WHERE NOT m.is_archived ORDER BY m.name LIMIT 50
"""
COUNT_SQL = "SELECT COUNT(*) FROM inventory_material WHERE NOT is_archived"
PAGE = """{% extends "base.html" %}{% block title %}Stock{% endblock %}{% block content %}
<table>{% for row in rows %}<tr><th><a href="/stock/m/{{ row.0 }}/">{{ row.1 }}</a></th>
{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>{% endfor %}</table><p>{{ count }}</p>
{% endblock %}"""


def fetch(sql: str, *arguments: object) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql, arguments)
        return cursor.fetchall()


def plain_page(request: HttpRequest) -> HttpResponse:
    template = engines["django"].from_string(PAGE)
    context = {"rows": fetch(LIST_SQL), "count": fetch(COUNT_SQL)[0][0]}
    return HttpResponse(template.render(context, request))


def plain_json(request: HttpRequest) -> HttpResponse:
    rows = [[None if cell is None else str(cell) for cell in row] for row in fetch(API_SQL)]
    return JsonResponse({"count": fetch(COUNT_SQL)[0][0], "results": rows})


class PlainSerializer(serializers.ModelSerializer):
    """The fields of the shop's own, read by the framework's own way."""

    family_name = serializers.CharField(source="family.name", read_only=True)
    base_unit = serializers.CharField(read_only=True)
    free = serializers.DecimalField(max_digits=18, decimal_places=3, read_only=True)
    serializer_field_mapping = serializers.ModelSerializer.serializer_field_mapping | {
        MoneyField: serializers.DecimalField,
        QuantityField: serializers.DecimalField,
    }

    class Meta:
        model = Material
        fields = MaterialSerializer.Meta.fields


class PlainRest(ListAPIView):
    queryset = Material.objects.filter(is_archived=False).select_related("family").order_by("name")
    serializer_class = PlainSerializer
    filter_backends = ()


urlpatterns = [
    path("plain/", plain_page),
    path("plain.json", plain_json),
    path("plain-rest.json", PlainRest.as_view()),
    path("", include("shop.urls")),
]
