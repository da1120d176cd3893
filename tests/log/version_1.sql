-- A log of version 1 as the program of that time wrote it: a raise, a break and its repair, a part made, an entry
-- taken back after the clock was set back, and the entries of another laptop, of which one clashes.
BEGIN TRANSACTION;
CREATE TABLE entries (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	"key" TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	part TEXT, 
	place TEXT, 
	who TEXT NOT NULL, 
	sender TEXT NOT NULL, 
	at TEXT NOT NULL, 
	sent_at TEXT, 
	order_ms INTEGER NOT NULL, 
	data TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	imported INTEGER NOT NULL, 
	UNIQUE (digest)
);
INSERT INTO "entries" VALUES(1,'key 1','raise_started',NULL,NULL,'','phone 3','2026-05-01T10:14:00.000Z',NULL,1777630440000,'{"name":"harvest"}','8e475cfd7540c7e4673023c43d167a86a22bc471265f6555eb2e0c25cc46d186',0);
INSERT INTO "entries" VALUES(2,'key 2','fitted','OH-H01-6','H01','','phone 3','2026-05-01T10:15:00.000Z',NULL,1777630500000,'{"exchange":false,"waits_for":[]}','814dc700af86251173fd161677de8d6708ef17a811e8371b408c3f57fa3cfd18',0);
INSERT INTO "entries" VALUES(3,'key 3','fitted','OH-H02-4','H02','','phone 3','2026-05-01T10:16:00.000Z',NULL,1777630560000,'{"exchange":false,"waits_for":[]}','568de4de82c96e510b4269150d2042011cdb4d5e2798f8c7156fdeaab99966c2',0);
INSERT INTO "entries" VALUES(4,'key 4','fitted','OH-H03-2','H03','','phone 3','2026-05-01T10:17:00.000Z',NULL,1777630620000,'{"exchange":false,"waits_for":[]}','45f34b064f92a7fffc09a7a80180d7558e815270b319fa3c0f6dde9ece0da37f',0);
INSERT INTO "entries" VALUES(5,'key 5','fitted','OH-S001-7','S001','','phone 3','2026-05-01T10:18:00.000Z',NULL,1777630680000,'{"exchange":false,"waits_for":[]}','1eb1550e9a81553d7a8c09e0d3bcd061e4a4938bf08688165f1471ab961b79b8',0);
INSERT INTO "entries" VALUES(6,'key 6','damaged','OH-S001-7','S001','','phone 3','2026-05-01T10:19:00.000Z',NULL,1777630740000,'{"arm":null,"end":1,"photo":"","severity":"bad","what":"end_crushed","words":"stepped on, naïve “quotes”"}','5afcf1c047d91b946587084e6262471ad631441d454d775ec8525754c9bbc589',0);
INSERT INTO "entries" VALUES(7,'key 7','taken_down','OH-S001-7','S001','','phone 3','2026-05-01T10:20:00.000Z',NULL,1777630800000,'{}','d219ea70672df01c6496e7f9b993a50a1b7df81f1d3fc9194e774d322d643745',0);
INSERT INTO "entries" VALUES(8,'key 8','missing','OH-S002-5',NULL,'','phone 3','2026-05-01T10:21:00.000Z',NULL,1777630860000,'{"words":""}','226bfb1906c7f96bab37e4257ee55c19d04cb4f407119bd400093975b420f9b3',0);
INSERT INTO "entries" VALUES(9,'key 9','found','OH-S002-5',NULL,'','phone 3','2026-05-01T10:22:00.000Z',NULL,1777630920000,'{"words":"under the tarpaulin"}','5c7ff1df0ed9056772afe760d4c3d20baf8eaa5e42aa04e60824429dc2fc18ef',0);
INSERT INTO "entries" VALUES(10,'key 10','repaired','OH-S001-7',NULL,'','phone 3','2026-05-01T10:23:00.000Z',NULL,1777630980000,'{"arm":null,"by":"carpenter","capacity":0.8,"end":1,"how":"replaced_end","usable_from":null,"words":""}','4af620465c1e3c95e6e3cac666ca97597fb62224d38056d101fcc711c4235b58',0);
INSERT INTO "entries" VALUES(11,'key 11','released','OH-S001-7',NULL,'','phone 3','2026-05-01T10:24:00.000Z',NULL,1777631040000,'{"name":"carpenter","words":"looked at"}','2b9beda31c18a758165c7fbf2440de122933528310d855a4e299616f7cfe48ed',0);
INSERT INTO "entries" VALUES(12,'key 12','made','OH-S068-6',NULL,'','phone 3','2026-05-01T10:25:00.000Z',NULL,1777631100000,'{"cut_length_mm":1355.084972,"kind":"strut","mass_kg":0.715196998828222,"number":68,"part_class":"B"}','84c7cc551bae2c9d59314b57741443cece1d34e178b328ec9977541730bd8148',0);
INSERT INTO "entries" VALUES(13,'key 13','fitted','OH-S002-5','S002','','phone 3','2026-05-01T09:39:00.000Z',NULL,1777631100001,'{"exchange":false,"waits_for":[]}','e1b3a2c536eb9d0a27b28b4fbfccfcbeda66615c4f75f1523375e75edaa0c3fd',0);
INSERT INTO "entries" VALUES(14,'key 14','withdrawn','OH-S002-5','S002','','phone 3','2026-05-01T09:40:00.000Z',NULL,1777631100002,'{"entry":"key 13","reason":"wrong one"}','6a0715b00147c6b82f1b5514a82bc722ae644a9867e8517ba34f8ac840e9688d',0);
INSERT INTO "entries" VALUES(15,'key 101','fitted','OH-H03-2','H03','','phone K','2026-05-01T10:16:30.000Z',NULL,1777630590000,'{"exchange":false,"waits_for":["H02"]}','6c9fa9ea430a61091ba21cded2fef859414adb91c513c438d79e989903239a7a',1);
INSERT INTO "entries" VALUES(16,'key 102','fitted','OH-S003-3','S003','','phone K','2026-05-01T10:17:30.000Z',NULL,1777630650000,'{"exchange":false,"waits_for":["H04"]}','fd843f9b89ac78a917ecbda584ec0fdad9a190b5c479409e2fd7e262c1a2f78e',1);
INSERT INTO "entries" VALUES(17,'key 15','fitted','OH-S068-6','S001','','phone 3','2026-05-01T09:41:00.000Z',NULL,1777631100003,'{"exchange":true,"waits_for":[]}','86917f4af693fa89c9e150767895705ecb3cd60f1084ea3bd39a2fe6b3f54c13',0);
CREATE TABLE versions (
	version INTEGER NOT NULL, 
	words TEXT NOT NULL, 
	PRIMARY KEY (version)
);
INSERT INTO "versions" VALUES(1,'entries kept');
CREATE UNIQUE INDEX one_key ON entries ("key") WHERE imported = 0;
CREATE TRIGGER entries_refuse_update BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END;
CREATE TRIGGER entries_refuse_delete BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END;
CREATE TRIGGER versions_refuse_update BEFORE UPDATE ON versions BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END;
CREATE TRIGGER versions_refuse_delete BEFORE DELETE ON versions BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END;
CREATE TRIGGER entries_refuse_replace BEFORE INSERT ON entries WHEN EXISTS (SELECT 1 FROM entries WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'the log is never changed: withdraw the entry by another one'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entries',17);
COMMIT;