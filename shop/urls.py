"""Every address of the product; each app lists its own pages."""

from django.contrib import admin
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from shop import views

handler400 = "shop.api.outside.bad_request"
handler500 = "shop.api.outside.server_error"
urlpatterns = [
    path("api/", include("shop.api.urls")),
    path("", views.home, name="home"),
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(), name="sign-out"),
    path("shop/", views.shop, name="shop"),
    path("", include("catalog.urls")),
    path("shop/labour-history/", include("estimates.shop_urls")),
    path("jobs/", include("estimates.urls")),
    path("your-estimate/", include("estimates.customer_urls")),
    path("admin/", admin.site.urls),
]
