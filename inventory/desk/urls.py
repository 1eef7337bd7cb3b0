"""Addresses of desk: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path, re_path
from rest_framework.routers import SimpleRouter

from inventory.desk.api import journal, lots
from inventory.desk.api import labels as labels_api
from inventory.desk.api import lists as lists_api
from inventory.desk.api import materials as materials_api
from inventory.desk.api import pieces as pieces_api
from inventory.desk.api import traces as traces_api
from inventory.desk.api import value as value_api
from inventory.desk.pages import (
    entries,
    labels,
    lists,
    materials,
    moves,
    pieces,
    rack,
    shelf_life,
    stock,
    traces,
    value,
)

LIST = "(?P<which>places|suppliers|families|species|meters)"


urlpatterns: list[URLPattern | URLResolver] = [
    path("", stock.stock, name="stock"),
    path("edit-many/", stock.edit_many, name="edit_materials"),
    path("names/", stock.material_names, name="material_names"),
    path("to-reconcile/", stock.to_reconcile, name="to_reconcile"),
    path("m/new/", materials.new_material, name="new_material"),
    path("m/<int:pk>/", materials.material, name="material"),
    path("m/<int:pk>/used-up/", materials.used_up, name="used_up_lots"),
    path("m/<int:pk>/change/", materials.edit_material, name="edit_material"),
    path("m/<int:pk>/price/", materials.check_price, name="check_price"),
    path("m/<int:pk>/draw/", moves.draw, name="draw_material"),
    path("m/<int:pk>/scrap/", moves.scrap, name="scrap_material"),
    path("m/<int:pk>/sell/", rack.sell, name="sell_material"),
    path("m/<int:pk>/count/", moves.count, name="count_material"),
    path("p/<str:number>/", pieces.piece, name="piece"),
    path("p/<str:number>/change/", pieces.edit_piece, name="edit_piece"),
    path("p/<str:number>/place/", pieces.edit_lot, name="edit_lot"),
    path("p/<str:number>/send-back/", moves.return_lot_to_supplier, name="return_to_supplier"),
    path("e/<int:pk>/", entries.entry, name="entry"),
    path("e/<int:pk>/bring-back/", moves.bring_back, name="bring_back"),
    path("e/<int:pk>/correct/", entries.correct, name="reverse_entry"),
    path("p/<str:number>/split/", rack.split, name="split_set"),
    path("p/<str:number>/judge/", rack.judge, name="judge_piece"),
    path("p/<str:number>/label.pdf", labels.label_pdf, name="label_pdf"),
    path("p/<str:number>/code.svg", labels.label_code, name="label_code"),
    path("labels/", labels.choose_labels, name="labels"),
    path("labels.pdf", labels.labels_pdf, name="labels_pdf"),
    path("value/", value.value, name="stock_value"),
    path("value/<int:pk>/", value.family_value, name="family_value"),
    re_path(r"^value\.(?P<kind>csv|xlsx)$", value.value_file, name="value_file"),
    re_path(r"^journal\.(?P<kind>csv|xlsx)$", value.journal_file, name="stock_journal_file"),
    path("shelf-life/", shelf_life.shelf_life, name="shelf_life"),
    path("p/<str:number>/open/", shelf_life.open_lot, name="open_pack"),
    path("p/<str:number>/write-off/", shelf_life.write_off, name="write_off"),
    path("p/<str:number>/went/", traces.went, name="where_it_went"),
    path("holders/<str:holder>/", traces.contents, name="contents"),
    path("holders/<str:holder>/customs.pdf", traces.customs_pdf, name="customs_pdf"),
    path("species/load/", lists.load, name="load_species"),
    path("undo/<str:keys>/", entries.undo, name="reverse_groups"),
    re_path(f"^{LIST}/$", lists.short_list, name="short_list"),
    re_path(r"^(?P<which>suppliers)/new/$", lists.edit_supplier, name="new_in_list"),
    re_path(r"^(?P<which>suppliers)/(?P<pk>\d+)/$", lists.edit_supplier, name="edit_in_list"),
    re_path(r"^(?P<which>meters)/new/$", lists.edit_meter, name="new_in_list"),
    re_path(r"^(?P<which>meters)/(?P<pk>\d+)/$", lists.edit_meter, name="edit_in_list"),
    re_path(f"^{LIST}/new/$", lists.edit_in_list, name="new_in_list"),
    re_path(rf"^{LIST}/(?P<pk>\d+)/$", lists.edit_in_list, name="edit_in_list"),
]

router = SimpleRouter()
router.register("families", lists_api.FamilyViewSet)
router.register("places", lists_api.PlaceViewSet)
router.register("suppliers", lists_api.SupplierViewSet)
router.register("materials", materials_api.MaterialViewSet)
router.register("lots", lots.LotViewSet)
router.register("pieces", pieces_api.PieceViewSet)
router.register("entries", journal.EntryViewSet)
router.register("sales", journal.SaleViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("labels/", labels_api.LabelsView.as_view(), name="api_labels"),
    path("lots/<str:number>/label/", labels_api.LabelView.as_view(), name="api_label"),
    path("stock-value/", value_api.StockValueView.as_view()),
    path("stock-value/table/", value_api.StockValueTableView.as_view()),
    path("journal/table/", value_api.JournalTableView.as_view()),
    path("holders/<str:holder>/contents/", traces_api.ContentsView.as_view()),
    *router.urls,
]
