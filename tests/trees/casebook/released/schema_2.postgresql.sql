CREATE TABLE store_info (
	name TEXT NOT NULL, 
	value TEXT NOT NULL, 
	PRIMARY KEY (name)
);

COMMENT ON TABLE store_info IS 'schema_version, made_at, made_by (version of the program)';

CREATE TABLE job (
	id SERIAL NOT NULL, 
	number TEXT NOT NULL, 
	counter INTEGER, 
	invented BOOLEAN NOT NULL, 
	opened_at TEXT NOT NULL, 
	last_no INTEGER NOT NULL, 
	last_at TEXT NOT NULL, 
	seat TEXT NOT NULL, 
	tree TEXT, 
	place TEXT NOT NULL, 
	family TEXT, 
	unit TEXT, 
	closed_as TEXT, 
	closed_at TEXT, 
	serial TEXT, 
	waiting TEXT, 
	due TEXT, 
	PRIMARY KEY (id), 
	UNIQUE (number)
);

CREATE INDEX job_by_counter ON job (counter);

CREATE INDEX job_by_last ON job (last_at);

CREATE INDEX job_open ON job (last_at) WHERE closed_as IS NULL;

CREATE INDEX job_by_serial ON job (serial);

COMMENT ON COLUMN job.counter IS 'the figure in J-0001, to find the next; null for numbers given by hand';

COMMENT ON COLUMN job.serial IS 'the unit''s serial number';

COMMENT ON COLUMN job.waiting IS 'for what the job waits: parts, questionnaire, call_back';

COMMENT ON COLUMN job.due IS 'ISO date or moment until which it waits';

CREATE TABLE book_text (
	fingerprint TEXT NOT NULL, 
	files BYTEA NOT NULL, 
	kept_at TEXT NOT NULL, 
	PRIMARY KEY (fingerprint)
);

COMMENT ON COLUMN book_text.files IS 'zlib over JSON {name: text}';

CREATE FUNCTION book_text_stays() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION 'a kept edition of a book is never changed'; END $$;

CREATE TRIGGER book_text_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON book_text FOR EACH STATEMENT EXECUTE FUNCTION book_text_stays();

CREATE TABLE entry (
	job_id INTEGER NOT NULL, 
	no INTEGER NOT NULL CHECK (no >= 1), 
	kind TEXT NOT NULL, 
	visit TEXT NOT NULL, 
	data TEXT NOT NULL, 
	at TEXT NOT NULL, 
	seat TEXT NOT NULL, 
	fingerprint TEXT NOT NULL, 
	PRIMARY KEY (job_id, no), 
	FOREIGN KEY(job_id) REFERENCES job (id)
);

CREATE INDEX entry_remarks ON entry (job_id) WHERE kind = 'remark';

COMMENT ON COLUMN entry.data IS 'JSON object; free text is empty here and stands in personal';

COMMENT ON COLUMN entry.fingerprint IS 'of the book; empty if unknown';

CREATE FUNCTION entry_stays() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION 'an entry of a job is never changed'; END $$;

CREATE TRIGGER entry_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON entry FOR EACH STATEMENT EXECUTE FUNCTION entry_stays();

CREATE TABLE personal (
	job_id INTEGER NOT NULL, 
	no INTEGER NOT NULL, 
	field TEXT NOT NULL, 
	text TEXT NOT NULL, 
	PRIMARY KEY (job_id, no, field), 
	FOREIGN KEY(job_id) REFERENCES job (id)
);

COMMENT ON COLUMN personal.no IS 'the entry; 0: the customer';

COMMENT ON COLUMN personal.field IS 'words, text, reason; of no 0: name, phone, address, text';

CREATE TABLE job_search (
	job_id INTEGER NOT NULL, 
	words TEXT NOT NULL, 
	PRIMARY KEY (job_id), 
	FOREIGN KEY(job_id) REFERENCES job (id)
);

COMMENT ON COLUMN job_search.words IS 'each word of number, unit, serial and free text once';

CREATE INDEX job_search_found ON job_search USING gin (array_to_tsvector(string_to_array(words, ' ')));

CREATE TABLE presence (
	job_id INTEGER NOT NULL, 
	program TEXT NOT NULL, 
	seat TEXT NOT NULL, 
	since TEXT NOT NULL, 
	beat_ms BIGINT NOT NULL, 
	PRIMARY KEY (job_id, program), 
	FOREIGN KEY(job_id) REFERENCES job (id)
);

COMMENT ON COLUMN presence.program IS 'a running program; a seat may run several';

COMMENT ON COLUMN presence.beat_ms IS 'last sign of life, by the clock that all seats share';

INSERT INTO book_text (fingerprint, files, kept_at) VALUES ('fbbfb7da1725', '\x78daab564acacfcfd6ab4ccccd51b252502ac92cc949b552f0cc2b4bcd2b494d89c953d2010a16a5a616eb27c21595e717a5145b29f81ede569e0a54510b001db817a1', '2026-03-02T08:00:06.000Z');

INSERT INTO job (id, number, counter, invented, opened_at, last_no, last_at, seat, tree, place, family, unit, closed_as, closed_at, serial, waiting, due) VALUES (1, 'J-0001', 1, false, '2026-03-02T08:00:01.000Z', 5, '2026-03-02T08:00:04.000Z', 'bench', 'smoke', 'bench', 'air_2_12', NULL, 'released', '2026-03-02T08:00:04.000Z', NULL, NULL, NULL);

INSERT INTO job (id, number, counter, invented, opened_at, last_no, last_at, seat, tree, place, family, unit, closed_as, closed_at, serial, waiting, due) VALUES (2, 'HUT-3', NULL, true, '2026-03-02T08:00:05.000Z', 1, '2026-03-02T08:00:05.000Z', 'bench', 'no_start', 'phone', NULL, NULL, NULL, NULL, NULL, NULL, NULL);

INSERT INTO store_info (name, value) VALUES ('schema_version', '2');

INSERT INTO store_info (name, value) VALUES ('made_at', '2026-03-02T08:00:00+00:00');

INSERT INTO store_info (name, value) VALUES ('made_by', '0.1.0');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (1, 1, 'began', '', '{"words":"","tree":"smoke","place":"bench","family":"air_2_12"}', '2026-03-02T08:00:01.000Z', 'bench', 'fbbfb7da1725');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (1, 2, 'taken_up', '', '{"seat":"bench","date":"2026-03-02"}', '2026-03-02T08:00:01.000Z', 'bench', 'fbbfb7da1725');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (1, 3, 'answer', 'smoke/rest', '{"check":"rest","typed":"12,4 V","reading":12.4}', '2026-03-02T08:00:02.000Z', 'bench', 'fbbfb7da1725');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (1, 4, 'note', '', '{"text":""}', '2026-03-02T08:00:03.000Z', 'bench', '');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (1, 5, 'closed', '', '{"end":"released","text":""}', '2026-03-02T08:00:04.000Z', 'bench', '');

INSERT INTO entry (job_id, no, kind, visit, data, at, seat, fingerprint) VALUES (2, 1, 'began', '', '{"words":"","tree":"no_start","place":"phone","family":null}', '2026-03-02T08:00:05.000Z', 'bench', '');

INSERT INTO job_search (job_id, words) VALUES (1, '0001 1 12 2 air at dry j j0001 mooring mowe smoke the white');

INSERT INTO job_search (job_id, words) VALUES (2, '3 does hut hut3 not start');

INSERT INTO personal (job_id, no, field, text) VALUES (1, 1, 'words', 'White smoke at the mooring');

INSERT INTO personal (job_id, no, field, text) VALUES (1, 4, 'text', 'Möwe ☠');

INSERT INTO personal (job_id, no, field, text) VALUES (1, 5, 'text', 'Dry');

INSERT INTO personal (job_id, no, field, text) VALUES (2, 1, 'words', 'Does not start');

SELECT setval(pg_get_serial_sequence('job', 'id'), (SELECT max(id) FROM job));
