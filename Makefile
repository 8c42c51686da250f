# make check    what CI runs: sets .venv up where needed and runs every test
# make lint     style and types
# make manual   puts what the commands print today into the pages of the manual
# make pictures draws the pictures of the manual from the demo job, and the desk's from its real screens

.PHONY: check lint manual pictures

check:
	bash .ci/run

lint:
	.venv/bin/ruff check src tests benchmarks docs start.py
	.venv/bin/mypy

manual:
	.venv/bin/python tests/manual_blocks.py

pictures:
	.venv/bin/python docs/make_pictures.py
	.venv/bin/python docs/make_screens.py
