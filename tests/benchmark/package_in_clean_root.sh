#!/usr/bin/env bash
# Installs build/package's Debian package in a fresh root (debootstrap, minimal Debian 12), runs it there to the page
# and the figures, and removes it again. As root; some minutes and 800 MB. scripts/package makes the package first.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
package=$(ls -t build/package/dryfront_*.deb | head -n 1)
root=$(mktemp -d)
trap 'umount -q "$root/proc" 2>/dev/null || true; rm -rf "$root"' EXIT
lists=(/etc/apt/sources.list /etc/apt/sources.list.d/*)
mirror=$(sed -nE 's/^(deb|URIs:).*(https?:[^ ]+).*/\2/p' "${lists[@]}" 2>/dev/null | head -n 1 || true)
debootstrap --variant=minbase bookworm "$root" "${mirror:-http://deb.debian.org/debian}" >/dev/null
cp "$package" "$root/root/dryfront.deb"
[[ ! -f /etc/apt/apt.conf ]] || cp /etc/apt/apt.conf "$root/etc/apt/apt.conf"
find /etc/apt/apt.conf.d -name '*proxy*' -exec cp -t "$root/etc/apt/apt.conf.d" {} +
mount -t proc proc "$root/proc"
inside() {
  chroot "$root" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root DEBIAN_FRONTEND=noninteractive "$@"
}
inside sh -c 'apt-get -qq update && apt-get -qq install -y --no-install-recommends /root/dryfront.deb' >/dev/null
began=$SECONDS
inside sh -euc 'cd /root && dryfront new && dryfront run comparison.toml --out run.h5 --quiet &&
  dryfront figures run.h5 --out figures --kit --quiet && dryfront page run.h5 --quiet && dryfront circuit \
  /usr/share/dryfront/cases/bench/stray_current.toml >/dev/null && ls -l run.html figures/comparison.svg'
echo "ran in $((SECONDS - began)) s"
if grep -rqa "$PWD" "$root/usr/bin/dryfront" "$root/usr/share/dryfront"; then
  echo "a path of the source tree is inside"
  exit 1
fi
inside apt-get -qq purge -y dryfront >/dev/null
if [[ -e $root/usr/bin/dryfront || -e $root/usr/share/dryfront ]]; then
  echo "something was left behind"
  exit 1
fi
echo "installed, used and removed in a clean root"
