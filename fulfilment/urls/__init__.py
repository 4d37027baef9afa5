"""URLs of the studio's rooms Print, Send, Hang and Settle."""

from django.urls import path

from fulfilment.urls import papers, print_room
from fulfilment.views import (
    address_list,
    addresses,
    contact,
    copy,
    hanging,
    outcomes,
    packing_material,
    packing_station,
    parcel_packing,
    printing,
    register,
    sending,
    settling,
    tracking,
)

app_name = "fulfilment"
S = "studio/<slug:show_code>/"

urlpatterns = [
    path(f"{S}fund/pledges/<str:code>/address/<int:number>/", addresses.correct, name="correct_address"),
    path(f"{S}print/", printing.print_room, name="print"),
    path(f"{S}print/end/", printing.end, name="end_printing"),
    path(f"{S}print/of/<str:code>/", printing.mark_copies, name="mark_copies"),
    path(f"{S}print/of/<str:code>/register/", register.register, name="register"),
    path(f"{S}print/of/<str:code>/proofs/", register.mark_proofs, name="mark_proofs"),
    path(f"{S}print/of/<str:code>/register.pdf", register.register_pdf, name="register_pdf"),
    path(f"{S}print/of/<str:code>/certificate/", register.certificate_text, name="certificate_text"),
    path(f"{S}print/of/<str:code>/certificates/", register.certificates, name="certificates"),
    path(f"{S}print/of/<str:code>/certificates.pdf", register.certificates_pdf, name="certificates_pdf"),
    path("copy/<slug:code>/", copy.copy, name="copy"),
    path(f"{S}send/", sending.send, name="send"),
    path(f"{S}send/packing/", packing_station.packing_station, name="packing_station"),
    path(f"{S}send/packing/contents.json", packing_station.contents, name="packing_contents"),
    path(f"{S}send/packing/pack/", packing_station.pack, name="pack_parcel"),
    path(f"{S}send/packing/open/", packing_station.open_again, name="open_parcel"),
    path(f"{S}send/notices/", sending.notices, name="send_notices"),
    path(f"{S}send/notices/<str:code>/call-off/", sending.call_off, name="call_off_notices"),
    path(f"{S}send/parcel/<slug:code>/", outcomes.parcel, name="parcel"),
    path(f"{S}send/parcel/<slug:code>/packing/", parcel_packing.parcel_packing, name="parcel_packing"),
    path(f"{S}send/pack-anyway/", parcel_packing.pack_anyway, name="pack_anyway"),
    path(f"{S}send/material/", packing_material.packing_material, name="packing_material"),
    path(f"{S}send/material/mailer/", packing_material.new_mailer, name="new_mailer"),
    path(f"{S}send/material/mailer/<slug:code>/", packing_material.mailer, name="mailer"),
    path(f"{S}send/material/mailer/<slug:code>/delete/", packing_material.delete_mailer, name="delete_mailer"),
    path(f"{S}send/material/print/<str:code>/", packing_material.travel, name="travel"),
    path(f"{S}send/material/post/", packing_material.post_services, name="post_services"),
    path(f"{S}send/material/customs/", packing_material.customs, name="customs"),
    path(f"{S}send/parcel/<slug:code>/again/", outcomes.send_again, name="send_parcel_again"),
    path(f"{S}send/addresses/", address_list.addresses, name="addresses"),
    path(f"{S}send/addresses/call-off/", address_list.call_off, name="call_off_addresses"),
    path(f"{S}send/tracking/", tracking.tracking, name="tracking"),
    path(f"{S}send/parcels.csv", tracking.parcel_list, {"file_format": "csv"}, name="parcels_csv"),
    path(f"{S}send/parcels.xlsx", tracking.parcel_list, {"file_format": "xlsx"}, name="parcels_xlsx"),
    path(f"{S}send/take-out/", sending.take_out, name="take_out"),
    path(f"{S}send/papers/<str:code>/again/", sending.papers_again, name="papers_again"),
    path(f"{S}fund/pledges/<str:code>/e-mail/", contact.email, name="correct_email"),
    path(f"{S}hang/", hanging.hang, name="hang"),
    path(f"{S}hang/sheet.pdf", hanging.hanging_sheet, name="hanging_sheet"),
    path(f"{S}settle/", settling.settle, name="settle"),
    *papers.urlpatterns,
    *print_room.urlpatterns,
]
