# Built in one stage, run in another: nothing of the build is left in the image.
FROM python:3.11-slim AS build
WORKDIR /source
COPY . .
RUN python -m venv /opt/ribstitch \
 && /opt/ribstitch/bin/pip install --no-cache-dir .

FROM python:3.11-slim
RUN groupadd --system --gid 10001 ribstitch \
 && useradd --system --uid 10001 --gid ribstitch --home-dir /data --no-create-home ribstitch \
 && install --directory --owner=ribstitch --group=ribstitch /data /backups
COPY --from=build /opt/ribstitch /opt/ribstitch
# Only /data, /backups and /tmp are written to, so that the rest can be mounted read-only. On this host people
# sign in: the service prints a link that makes the first account.
ENV PATH=/opt/ribstitch/bin:$PATH \
    PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    RIBSTITCH_DATABASE_URL=sqlite:////data/ribstitch.db \
    RIBSTITCH_HOST=0.0.0.0 \
    RIBSTITCH_PORT=8765 \
    RIBSTITCH_LOG_LEVEL=info \
    RIBSTITCH_LOG_FORMAT=json
USER ribstitch
WORKDIR /data
VOLUME /data /backups
EXPOSE 8765
HEALTHCHECK --interval=30s --timeout=5s --start-period=30s \
  CMD ["python", "-c", "import urllib.request; urllib.request.urlopen('http://127.0.0.1:8765/api/v1/ready', timeout=4)"]
STOPSIGNAL SIGTERM
ENTRYPOINT ["ribstitch"]
CMD ["serve"]
