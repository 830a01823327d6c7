from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": "That name and password do not go together. Check both and try again.",
        "inactive": "This sign-in is closed. Ask the manager.",
    }


class PinForm(forms.Form):
    pin = forms.CharField(
        label="PIN",
        max_length=8,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off", "autofocus": True}
        ),
    )


class TabletForm(forms.Form):
    name = forms.CharField(label="Name of this tablet", max_length=60)
