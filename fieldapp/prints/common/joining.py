"""What the two squares say that bring a phone onto the site: the same on the poster and on the laptop's screen."""

from fieldapp.frame.design import SiteSection


def wifi_text(site: SiteSection) -> str:
    """What the Wi-Fi symbol says; empty without a Wi-Fi.

    Notes
    -----
    Letters and figures only, which the design sees to, since the published rules of escaping differ [1].

    References
    ----------
    .. [1] Wi-Fi Alliance, WPA3 Specification, section 7.1.

    Examples
    --------
    >>> wifi_text(SiteSection(wifi_name="orchard", wifi_password="harvestweek"))
    'WIFI:T:WPA;S:orchard;P:harvestweek;;'
    """
    if not site.wifi_name:
        return ""
    if not site.wifi_password:
        return f"WIFI:T:nopass;S:{site.wifi_name};;"
    return f"WIFI:T:WPA;S:{site.wifi_name};P:{site.wifi_password};;"


def address_text(site: SiteSection, join_code: str = "") -> str:
    """What the address symbol says: the scheme small, since some camera apps ask for it, the rest in capitals.

    A phone that opens the page with the join code (`kit.site_key`) may write; without it, read.

    Examples
    --------
    >>> address_text(SiteSection(address="http://orchard.lan:8000"), "K7M4QP")
    'http://ORCHARD.LAN:8000/JOIN/K7M4QP'
    """
    scheme, _, host = site.address.rstrip("/").partition("://")
    return f"{scheme.lower()}://{host.upper()}/" + (f"JOIN/{join_code}" if join_code else "")
