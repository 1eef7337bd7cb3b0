"""Addresses of the inventory app's pages."""

from django.urls import URLPattern, URLResolver, path, re_path

from inventory.pages import (
    deliveries,
    labels,
    lists,
    materials,
    moves,
    papers,
    pieces,
    stock,
    wood,
)

LIST = "(?P<which>places|suppliers|families)"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", stock.stock, name="stock"),
    path("names/", stock.material_names, name="material_names"),
    path("to-reconcile/", stock.to_reconcile, name="to_reconcile"),
    path("m/new/", materials.new_material, name="new_material"),
    path("m/<int:pk>/", materials.material, name="material"),
    path("m/<int:pk>/used-up/", materials.used_up, name="used_up_lots"),
    path("m/<int:pk>/change/", materials.edit_material, name="edit_material"),
    path("m/<int:pk>/price/", materials.check_price, name="check_price"),
    path("m/<int:pk>/draw/", moves.draw, name="draw_material"),
    path("m/<int:pk>/scrap/", moves.scrap, name="scrap_material"),
    path("m/<int:pk>/count/", moves.count, name="count_material"),
    path("p/<str:number>/", pieces.piece, name="piece"),
    path("p/<str:number>/change/", pieces.edit_piece, name="edit_piece"),
    path("p/<str:number>/place/", pieces.edit_lot, name="edit_lot"),
    path("p/<str:number>/send-back/", moves.send_back_lot, name="send_back"),
    path("e/<int:pk>/bring-back/", moves.bring_back, name="bring_back"),
    path("e/<int:pk>/correct/", moves.correct, name="correct_entry"),
    path("p/<str:number>/weigh/", wood.weigh, name="weigh_piece"),
    path("p/<str:number>/moisture/", wood.read_meter, name="read_moisture"),
    path("p/<str:number>/photo/", papers.new_photo, name="new_photo"),
    path("p/<str:number>/paper/", papers.new_paper, name="new_paper"),
    path("p/<str:number>/label.pdf", labels.label_pdf, name="label_pdf"),
    path("p/<str:number>/code.svg", labels.label_code, name="label_code"),
    path("photos/<int:pk>/", papers.photo_file, name="photo_file"),
    path("photos/<int:pk>/remove/", papers.remove_photo, name="remove_photo"),
    path("papers/<int:pk>/", papers.paper_file, name="paper_file"),
    path("data-sheets/<int:pk>/", papers.data_sheet, name="data_sheet"),
    path("labels/", labels.choose_labels, name="labels"),
    path("labels.pdf", labels.labels_pdf, name="labels_pdf"),
    path("seasoning/", wood.seasoning, name="seasoning"),
    path("rules/", wood.rules, name="stock_rules"),
    path("undo/<str:keys>/", moves.undo, name="undo_entries"),
    path("deliveries/", deliveries.deliveries, name="deliveries"),
    path("deliveries/new/", deliveries.new_delivery, name="new_delivery"),
    path("deliveries/<int:pk>/", deliveries.delivery, name="delivery"),
    re_path(f"^{LIST}/$", lists.short_list, name="short_list"),
    re_path(f"^{LIST}/new/$", lists.edit_in_list, name="new_in_list"),
    re_path(rf"^{LIST}/(?P<pk>\d+)/$", lists.edit_in_list, name="edit_in_list"),
]
