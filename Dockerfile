# One image for web server, worker and scheduler; docker-compose.yml says which.
FROM python:3.11-slim

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1
WORKDIR /srv/benchwide

# For back_up and restore; at least as new as the server of docker-compose.yml.
RUN apt-get update && apt-get install -y --no-install-recommends postgresql-client \
    && rm -rf /var/lib/apt/lists/*

COPY pyproject.toml constraints.txt README.md ./
RUN pip install --no-cache-dir -c constraints.txt -e .

COPY manage.py ./
COPY labsite ./labsite
COPY results ./results
COPY api ./api
COPY frontend ./frontend
RUN python -m labsite.catalogues compile
# Static files are gathered without the secrets of any site.
RUN DEBUG=true python manage.py collectstatic --no-input \
    && useradd --system benchwide && chown -R benchwide /srv/benchwide
USER benchwide

EXPOSE 8000
# How many web processes there are, gunicorn reads from its own variable.
ENV WEB_CONCURRENCY=2
CMD ["gunicorn", "labsite.wsgi", "--config=python:labsite.serving", "--bind=0.0.0.0:8000"]
