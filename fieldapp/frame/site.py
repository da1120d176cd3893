"""[site]: what phones will find, and what is read on site."""

from typing import Literal

from fieldapp.frame.questions import DesignSection, ask


class SiteSection(DesignSection):
    """[site]: what phones will find, and what is read on site."""

    language: Literal["en", "nl", "de", "fr", "es"] = ask(
        "en", "Language of all that is printed, from labels and booklet to workshop sheets. Phones keep their own.",
        "Write en, nl, de, fr or es.")
    address: str = ask(
        "http://10.0.0.1:8000", "Address of the site laptop, printed in every symbol: choose one that you can give it "
        "every year.", "Give the laptop a fixed address in its router.", max_length=40,
        pattern=r"(?i)^https?://[a-z0-9]([a-z0-9.-]*[a-z0-9])?(:[0-9]{1,5})?$")
    wifi_name: str | None = ask(
        None, "Name of the site's Wi-Fi, for the poster", "Rename the network: phones disagree on other characters.",
        example="orchard", pattern=r"^[A-Za-z0-9-]{1,32}$")
    wifi_password: str | None = ask(
        None, "Its password, for the poster", "Choose another password: phones disagree on other characters.",
        example="harvestweek", pattern=r"^[A-Za-z0-9]{8,63}$")
