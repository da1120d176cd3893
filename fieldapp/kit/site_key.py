"""What only this kit's laptop knows: the secret that signs cookies, and the join code; what the join squares say.

Kept in the kit's folder, so that posters and joined phones stay good over restarts, and go along when the folder is
copied to another laptop.
"""

import json
import re
import secrets
from dataclasses import asdict, dataclass
from pathlib import Path

from fieldapp.base.errors import KitError
from fieldapp.base.json_text import from_json
from fieldapp.frame.site import SiteSection
from fieldapp.kit.atomic import write_atomic

KEY_FILE = "site-key.json"
PHRASE_FILE = "chief-phrase.hash"
"""The chief's pass phrase as a salted hash; `web.common.rights` reads it."""
SESSIONS_FILE = "sessions.json"
"""Which phones were given a right, and which were ended; `web.common.sessions` reads it."""
CODE_CHARS = 6
"""Characters of a join code (in no formula)."""
CODE_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""No 0, 1, I, L, O and U, which are misread or spell words."""


@dataclass(frozen=True, slots=True)
class SiteKey:
    """Both, in text."""

    secret: str
    join_code: str
    """Capitals and figures. A phone that shows it may write."""


def fresh_key() -> SiteKey:
    """A new one, by chance."""
    return SiteKey(secrets.token_hex(32), "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_CHARS)))


def site_key(folder: Path, *, keep: bool = True) -> SiteKey:
    """The key of a kit folder, made with the first call; without `keep` a new one is good for this run only.

    Raises
    ------
    KitError
        If the file is there but is not a key, or cannot be written.
    """
    path = folder / KEY_FILE
    if not path.exists():
        made = fresh_key()
        if not keep:
            return made
        write_atomic(path, (json.dumps(asdict(made), indent=1) + "\n").encode(), secret=True)
        return made
    try:
        held = from_json(path.read_text(encoding="utf-8-sig"))
        key = SiteKey(str(held["secret"]), str(held["join_code"]))
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise KitError(_unreadable(path)) from error
    if len(key.secret) < 32 or not re.fullmatch(r"[A-Z0-9]{4,16}", key.join_code):
        raise KitError(_unreadable(path))
    return key


def _unreadable(path: Path) -> str:
    return (f"{path} is not a site key: it needs a secret of 32 characters or more and a join code of 4 to 16 capitals "
            f"and figures. Delete it to have a new one made; then print the poster again and let phones join anew.")


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
