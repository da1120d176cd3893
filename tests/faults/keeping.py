"""Where a log is kept while its servers are killed: in the kit's own file, or on a database server for two laptops."""

import os
import shutil
import signal
import time
from contextlib import contextmanager

from fieldapp.kit.file import read_kit
from fieldapp.log.opening import open_book
from fieldapp.log.reading import read_log
from fieldapp.log.rows import all_rows, read_names
from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.follow import Follower
from fieldapp.log.shared.moving import to_server
from fieldapp.log.shared.tables import schema_of


class InFile:
    """One laptop with the log in its folder."""

    def __init__(self, folder):
        self.folders = (folder,)

    @contextmanager
    def opened(self, folder):
        """What `raisebook serve` opens."""
        with open_book(folder) as book:
            yield book

    def kept(self):
        return read_log(self.folders[0] / "log.sqlite")

    def disturb(self, chance):
        """Nothing but the serving process can be killed."""


class OnServer:
    """Two laptops that write into one database."""

    def __init__(self, folder, server):
        self.server, kit = server, read_kit(folder)
        database = server.database()
        self.address, self.schema = server.address("site", database), schema_of(kit)
        to_server(folder, kit, server.address(database=database), role="site")
        self.folders = (folder, shutil.copytree(folder, folder.with_name("other")))

    @contextmanager
    def opened(self, folder):
        """What `raisebook yard --store` opens."""
        with open_book(folder, store=self.address) as book:
            follower = Follower(self.address, {self.schema: book}).start()
            try:
                yield book
            finally:
                follower.stop()

    def kept(self):
        self.server.wait()
        engine = engine_for(self.address, self.schema)
        try:
            with engine.connect() as connection:
                return all_rows(connection, read_names(connection))
        finally:
            engine.dispose()        # none may be open when the next server is made by fork

    def disturb(self, chance):
        """The database's own process for one laptop is killed, which ends all others too; or all of it, at once."""
        how = chance.choice(["nothing", "one process", "all"])
        if how == "one process":
            killed = self.server.told("SELECT min(pid) FROM pg_stat_activity WHERE usename = 'site'")
            if killed is not None:
                os.kill(killed, signal.SIGKILL)
                time.sleep(chance.uniform(0.0, 0.5))
        elif how == "all":
            self.server.stop("immediate")
            time.sleep(chance.uniform(0.0, 0.2))
            self.server.start()
