# Set-up shared by the commands of this folder; sourced, not run.
# It installs what is missing on Debian (as root or through sudo), never touches
# what is there already, and says clearly what to install elsewhere.

root_dir=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cache_dir=${LIMBROUND_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/limbround}

say() { printf '%s\n' "$*" >&2; }

die() {
	say "error: $*"
	exit 5
}

# as_root CMD...: runs CMD as root, through sudo when we are not.
as_root() {
	if [ "$(id -u)" = 0 ]; then
		"$@"
	elif command -v sudo >/dev/null 2>&1; then
		sudo "$@"
	else
		die "needs root to run: $* (run this command as root, or install sudo)"
	fi
}

# need_packages WHAT PACKAGE...: installs Debian packages. WHAT says what they are for.
need_packages() {
	local what=$1
	shift
	command -v apt-get >/dev/null 2>&1 ||
		die "$what is missing and this system has no apt-get; install the equivalent of these Debian packages, then run this again: $*"
	say "installing $what: $*"
	if [ -z "${apt_updated:-}" ]; then
		as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q >/dev/null || die "apt-get update failed; check the package sources"
		apt_updated=1
	fi
	as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@" >/dev/null ||
		die "could not install $*; install $what by hand, then run this again"
}

# need_postgres: PostgreSQL server binaries with PostGIS for the same major.
need_postgres() {
	local dir major
	for dir in /usr/lib/postgresql/*/bin; do
		major=$(basename "$(dirname "$dir")")
		if [ -x "$dir/initdb" ] && [ -e "/usr/share/postgresql/$major/extension/postgis.control" ]; then
			return 0
		fi
	done
	if ! command -v apt-get >/dev/null 2>&1; then
		need_packages "PostgreSQL with PostGIS" postgresql postgis
	fi
	# Debian's package leaves a cluster of its own behind; we never use or touch it.
	need_packages "PostgreSQL with PostGIS" postgresql postgresql-postgis
}

# go_wanted prints the Go version that go.mod asks for.
go_wanted() { awk '$1 == "go" { print $2; exit }' "$root_dir/go.mod"; }

# version_at_least HAVE WANT
version_at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -V | head -n 1)" = "$2" ]; }

# The toolchain that is fetched when the machine's Go is missing or too old:
# the module golang.org/toolchain, by any Go, through the module mirror that Go
# itself is set up for. The hash is the one that go.sum would hold.
toolchain_version=go1.26.8

toolchain_hash() {
	case "$1" in
	amd64) printf '%s' "$toolchain_hash_amd64" ;;
	arm64) printf '%s' "$toolchain_hash_arm64" ;;
	*) return 1 ;;
	esac
}
toolchain_hash_amd64=h1:ZOmGe1OnfREDMIdb1Qi4G9JSuDPBLGExZMQ4nis1RXM=
toolchain_hash_arm64=h1:sYL/O6MqS68ML0kjsQ36WoYIpJqkw60TxizWUYUKQMc=

# need_go: puts a Go that is new enough first on PATH.
need_go() {
	local want have dir arch
	want=$(go_wanted)
	export GOTOOLCHAIN=local GOFLAGS="${GOFLAGS:--buildvcs=false}"
	for dir in "$(dirname "$(command -v go 2>/dev/null || echo /none/go)")" "$cache_dir/$toolchain_version/bin" /usr/local/go/bin; do
		[ -x "$dir/go" ] || continue
		have=$("$dir/go" env GOVERSION 2>/dev/null) || continue
		if version_at_least "${have#go}" "$want"; then
			export PATH="$dir:$PATH"
			return 0
		fi
	done
	[ "$(uname -s)" = Linux ] || die "Go $want or newer is missing; install it, then run this again"
	case "$(uname -m)" in
	x86_64) arch=amd64 ;;
	aarch64) arch=arm64 ;;
	*) die "Go $want or newer is missing and no toolchain is known for $(uname -m); install it, then run this again" ;;
	esac
	command -v go >/dev/null 2>&1 || need_packages "a Go to fetch the newer Go with" golang-go ca-certificates
	fetch_toolchain "$arch"
	export PATH="$cache_dir/$toolchain_version/bin:$PATH"
}

# fetch_toolchain ARCH: downloads, checks and unpacks the toolchain module.
fetch_toolchain() {
	local arch=$1 info sum dir goal=$cache_dir/$toolchain_version tmp
	say "fetching $toolchain_version (the machine's Go is missing or older than go.mod asks)"
	tmp=$(mktemp -d)
	info=$(cd "$tmp" && GOFLAGS=-mod=mod GOTOOLCHAIN=local go mod download -json "golang.org/toolchain@v0.0.1-$toolchain_version.linux-$arch") ||
		die "could not fetch $toolchain_version through the module mirror: $info"
	rm -rf "$tmp"
	sum=$(printf '%s' "$info" | sed -n 's/^[[:space:]]*"Sum": "\(.*\)",*$/\1/p')
	dir=$(printf '%s' "$info" | sed -n 's/^[[:space:]]*"Dir": "\(.*\)",*$/\1/p')
	[ "$sum" = "$(toolchain_hash "$arch")" ] || die "the fetched $toolchain_version has hash $sum, not the pinned one; refusing to use it"
	mkdir -p "$cache_dir"
	rm -rf "$goal.part"
	cp -r "$dir" "$goal.part"
	chmod -R u+w "$goal.part"
	# A module zip carries no run bits.
	chmod +x "$goal.part"/bin/* "$goal.part"/pkg/tool/*/*
	rm -rf "$goal"
	mv "$goal.part" "$goal"
}

# need_chromium: Debian's Chromium, for pictures of the desks.
need_chromium() {
	command -v chromium >/dev/null 2>&1 || need_packages "Chromium" chromium fonts-dejavu-core
}

# build: builds the program into bin/.
build() {
	(cd "$root_dir" && go build -o bin/limbround ./cmd/limbround) || die "the build failed"
}
