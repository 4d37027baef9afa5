"""URLs of the studio's rooms Measure and Fund, the standing page and the pages of long work."""

from django.urls import path

from campaign.views import costs, fund, jobs, measure, money, pledges, studio, updates, walls, works

S = "studio/<slug:show_code>/"
M, F = f"{S}measure/", f"{S}fund/"

urlpatterns = [
    path("studio/", studio.studio, name="studio"),
    path(S, studio.standing, name="standing"),
    path(f"{S}staircase/", studio.staircase, name="staircase"),
    # Measure
    path(M, measure.measure, name="measure"),
    path(f"{M}take-back/", measure.take_back, name="take_back"),
    path(f"{M}settings/", measure.settings, name="settings"),
    path(f"{M}walls/", walls.walls, name="walls"),
    path(f"{M}walls/new/", walls.new_wall, name="new_wall"),
    path(f"{M}walls/of/<str:code>/", walls.wall, name="wall"),
    path(f"{M}walls/of/<str:code>/take-out/", walls.delete_wall, name="delete_wall"),
    path(f"{M}works/", works.works, name="works"),
    path(f"{M}works/new/", works.new_work, name="new_work"),
    path(f"{M}works/of/<str:code>/", works.work, name="work"),
    path(f"{M}works/of/<str:code>/take-off/", works.delete_work, name="delete_work"),
    path(f"{M}finishes/", costs.finishes, name="finishes"),
    path(f"{M}finishes/new/", costs.new_finish, name="new_finish"),
    path(f"{M}finishes/of/<str:code>/", costs.finish, name="finish"),
    path(f"{M}finishes/of/<str:code>/take-off/", costs.delete_finish, name="delete_finish"),
    path(f"{M}prices/", costs.prices, name="prices"),
    path(f"{M}prices/new/", costs.new_price, name="new_price"),
    path(f"{M}prices/of/<str:code>/", costs.price, name="price"),
    path(f"{M}prices/of/<str:code>/take-out/", costs.delete_price, name="delete_price"),
    path(f"{M}show-costs/", costs.show_costs, name="show_costs"),
    # Fund
    path(F, fund.fund, name="fund"),
    path(f"{F}levels/", fund.levels, name="levels"),
    path(f"{F}publish/", fund.publish, name="publish"),
    path(f"{F}close/", fund.close, name="close"),
    path(f"{F}pledges/", pledges.pledges, name="pledges"),
    path(f"{F}pledges/<str:code>/", pledges.pledge, name="pledge"),
    path(f"{F}pledges/<str:code>/payment/", pledges.payment, name="payment"),
    path(f"{F}pledges/<str:code>/refund/", pledges.refund, name="refund"),
    path(f"{F}pledges/<str:code>/cancel/", pledges.cancel, name="cancel"),
    path(f"{F}cash-book/", money.cash_book, name="cash_book"),
    path(f"{F}cash-book/other/", money.other_money, name="other_money"),
    path(f"{F}cash-book/correct/<str:key>/", money.correct, name="correct"),
    path(f"{F}updates/", updates.updates, name="updates"),
    path(f"{F}updates/new/", updates.new_update, name="new_update"),
    path(f"{F}updates/of/<str:code>/", updates.update, name="update_sheet"),
    path(f"{F}updates/of/<str:code>/trial/", updates.trial, name="trial"),
    path(f"{F}updates/of/<str:code>/send/", updates.send, name="send_update"),
    path(f"{F}mails/", updates.mails, name="mails"),
    path(f"{F}mails/<uuid:uid>/", jobs.settle_message, name="settle_message"),
    # long work
    path(f"{S}jobs/<str:code>/", jobs.job, name="job"),
    path(f"{S}jobs/<str:code>/call-off/", jobs.call_off, name="call_off"),
    path(f"{S}papers/<str:code>.pdf", jobs.paper, name="paper"),
]
