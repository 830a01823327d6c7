#!/bin/sh
# Runs the test command where there is nothing but Debian 12, python3 and python3-venv: what it
# needs beyond that it must install or name. As root, with debootstrap:
#
#   sh tests/suite/bare_machine.sh [FOLDER [ARGUMENTS OF THE TEST COMMAND]]
#
# FOLDER becomes the root of that machine, and is left for a second look. Ways to the package
# registries (sources, keys, pip's settings) are this machine's.
set -eu
project=$(cd "$(dirname "$0")/../.." && pwd)
root=${1:-/var/tmp/rackbound-bare}
[ $# -gt 0 ] && shift
[ $# -gt 0 ] || set -- tests/browser/test_charts.py tests/orders/test_units.py

[ "$(id -u)" = 0 ] || { echo "This needs root, for debootstrap and chroot." >&2; exit 1; }
command -v debootstrap >/dev/null || { echo "Install debootstrap first." >&2; exit 1; }

mirror=$(sed -n 's/^URIs: *\([^ ]*\).*/\1/p; s/^deb \(\[[^]]*\] \)\{0,1\}\([^ ]*\).*/\2/p' \
    /etc/apt/sources.list /etc/apt/sources.list.d/* 2>/dev/null | head -n 1)
if [ ! -x "$root/usr/bin/python3" ]; then
    debootstrap --variant=minbase --include=python3,python3-venv,ca-certificates,git \
        bookworm "$root" "$mirror"
fi

mkdir -p "$root/etc/apt" "$root/etc/ssl/certs"
cp -r /etc/apt/. "$root/etc/apt/"
cp -L /etc/resolv.conf "$root/etc/resolv.conf" 2>/dev/null || true
[ -s "$root/etc/hosts" ] || echo "127.0.0.1 localhost" >"$root/etc/hosts" # as an installer writes
cp -L /etc/ssl/certs/ca-certificates.crt "$root/etc/ssl/certs/ca-certificates.crt"
for file in /etc/pip.conf /etc/xdg/pip; do
    [ -e "$file" ] || continue
    mkdir -p "$root$(dirname "$file")"
    cp -rL "$file" "$root$(dirname "$file")/"
done

rm -rf "$root/srv/rackbound"
git clone --quiet "$project" "$root/srv/rackbound"

leave() {
    for at in dev/shm dev proc; do umount "$root/$at" 2>/dev/null || true; done
}
trap leave EXIT INT TERM
mount -t proc proc "$root/proc"
mount --bind /dev "$root/dev"
mount -t tmpfs tmpfs "$root/dev/shm"

chroot "$root" /usr/bin/env -u RACKBOUND_BROWSER -u RACKBOUND_DATA -u PYTHONPATH \
    HOME=/root PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin \
    sh -c 'cd /srv/rackbound && exec python3 manage.py test "$@"' sh "$@"
