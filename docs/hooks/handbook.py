"""The door through which MkDocs reaches the handbook; the work is done in `calc.desk.events`."""

from calc.desk.events import (  # noqa: F401  MkDocs finds them by name
    on_config,
    on_env,
    on_files,
    on_page_content,
    on_page_markdown,
    on_post_page,
    on_post_template,
)
