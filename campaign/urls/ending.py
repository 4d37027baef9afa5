"""URLs of money that goes back, of the minimum and calling a show off, of exports."""

from django.urls import path

from campaign.views import ending, exports, refunds

F = "studio/<slug:show_code>/fund/"

urlpatterns = [
    path(f"{F}minimum/", ending.minimum, name="minimum"),
    path(f"{F}call-off/", ending.call_off, name="call_off_show"),
    path(f"{F}back/", refunds.refunds, name="refunds"),
    path(f"{F}back/list/", refunds.payment_list, name="payment_list"),
    path(f"{F}back/of/<str:key>/", refunds.refund_sum, name="refund_sum"),
    path(f"{F}back/of/<str:key>/account/", refunds.refund_account, name="refund_account"),
    path(f"{F}back/of/<str:key>/not/", refunds.not_given, name="not_given"),
    path(f"{F}back/of/<str:key>/again/", refunds.retry_refund, name="retry_refund"),
    path(f"{F}pledges/<str:code>/owe/", refunds.owe, name="owe"),
    *(
        path(
            f"{F}export/{what}.{ending}", exports.export, {"what": what, "file_format": ending},
            name=f"{what.replace('-', '_')}_{ending}",
        )
        for what in ("cash-book", "pledges", "to-send")
        for ending in ("csv", "xlsx")
    ),
    path(f"{F}cash-book/compare/", exports.compare, name="compare_book"),
]  # fmt: skip
