from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "orders"
    verbose_name = "Orders: what is to be made, for whom and for how much"

    def ready(self):
        from orders.wording import say_it_our_way

        say_it_our_way()
