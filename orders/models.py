"""Gathers the models of every feature package, where Django looks for them."""

from orders.accounts.models import Tablet, User
from orders.blanks.models import Blank, BlankMovement, BlankReservation
from orders.customers.models import Customer, RiderProfile
from orders.cutfiles.models import CutFile
from orders.designs.models import Design, DesignVersion
from orders.factory.models import Factory
from orders.orderbook.models import Board, Order, Promise, ShapedArrival
from orders.pricing.models import Payment
from orders.resins.models import CupTest, GlassShop, ResinSystem
from orders.rides.models import RideNote
from orders.specs.models import SpecRevision
from orders.tickets.models import Ticket

__all__ = [
    "Blank",
    "BlankMovement",
    "BlankReservation",
    "Board",
    "Customer",
    "CupTest",
    "CutFile",
    "Design",
    "DesignVersion",
    "Factory",
    "GlassShop",
    "Order",
    "Payment",
    "Promise",
    "RideNote",
    "RiderProfile",
    "ResinSystem",
    "ShapedArrival",
    "SpecRevision",
    "Tablet",
    "Ticket",
    "User",
]
