"""The web interface. `create_app` builds it, with one blueprint for each section; importing does nothing.

A view reads the request, calls one function of `termbase` or `exports`, and shows a template. What views
need from the request is in `context`, forms in `forms`, errors in `errors`, security in `guard`.
"""

from flask import Flask

from app.web import (
    access,
    addresses,
    assets,
    context,
    entries,
    errors,
    forms,
    guard,
    history,
    importing,
    language,
    pages,
    progress,
    proof,
    publish,
    reading,
    rules,
    sources,
    start,
    technique,
    templating,
    trials,
    workspace,
)
from app.web.workspace import Settings

__all__ = ["Settings", "create_app"]

MOST_FIELDS = 20_000  # a form for a long list can have many ticked boxes


def create_app(settings: Settings) -> Flask:
    """Return the web interface for one termbase, as a WSGI application."""
    app = Flask("app.web", static_folder=None)
    app.extensions["wordhold"] = settings
    app.config.update(
        MAX_CONTENT_LENGTH=settings.max_upload,
        MAX_FORM_MEMORY_SIZE=min(settings.max_text, settings.max_upload),
        MAX_FORM_PARTS=MOST_FIELDS,
        TEMPLATES_AUTO_RELOAD=settings.debug,
    )
    app.url_map.converters = {**app.url_map.converters, "int": addresses.Number}
    app.json.sort_keys = False  # type: ignore[attr-defined]
    guard.init_app(app, settings)
    access.init_app(app, settings)
    assets.init_app(app)
    context.init_app(app)
    workspace.init_app(app, settings)
    language.init_app(app)
    templating.init_app(app)
    errors.init_app(app)
    forms.init_app(app)
    progress.init_app(app)
    proof.init_app(app)
    app.register_blueprint(importing.blueprint)
    for section in (
        access,
        start,
        context,
        history,
        entries,
        technique,
        pages,
        reading,
        sources,
        rules,
        trials,
        proof,
        publish,
    ):
        app.register_blueprint(section.blueprint)
    return app
