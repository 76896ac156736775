# Sourced by the commands beside it, from the repository's root: the one environment they share.
# shellcheck shell=bash

# A path set by hand would put other code before the installed package.
unset PYTHONPATH

say() { printf '%s: %s\n' "${0##*/}" "$*" >&2; }

fail() {
  say "$*"
  exit 1
}

# The first python on the path that is new enough.
find_python() {
  local candidate
  for candidate in python3 python3.14 python3.13 python3.12 python3.11; do
    if "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      printf '%s\n' "$candidate"
      return
    fi
  done
  fail "needs Python 3.11 or newer as python3; found: $(python3 --version 2>&1 || true)
On Debian 12 or newer: apt-get install python3 python3-venv"
}

# .venv, made anew where there is none, it was moved, or its Python has gone.
make_environment() {
  local python
  if [[ "$(cat .venv/made-in 2>/dev/null)" == "$PWD" ]] && .venv/bin/python -c '' 2>/dev/null; then
    return
  fi
  python=$(find_python)
  "$python" -c 'import ensurepip, venv' 2>/dev/null ||
    fail "$python cannot make environments: its venv module is missing.
On Debian: apt-get install python3-venv"
  say "making .venv with $("$python" --version)"
  "$python" -m venv --clear .venv || fail "could not make .venv"
  mkdir .venv/installed
  printf '%s\n' "$PWD" >.venv/made-in
}

# One digest over the files and folders named, whatever their dates.
digest() {
  .venv/bin/python - "$@" <<'END'
import hashlib
import pathlib
import sys

files = set()
for name in map(pathlib.Path, sys.argv[1:]):
    files.update(name.rglob("*") if name.is_dir() else [name])
digest = hashlib.sha256()
for file in sorted(files):
    if file.is_file() and file.suffix != ".pyc":
        content = file.read_bytes()
        digest.update(f"{file}\0{len(content)}\0".encode())
        digest.update(content)
print(digest.hexdigest())
END
}

pip_install() {
  .venv/bin/python -m pip install --disable-pip-version-check --no-input --quiet "$@"
}

# install_locks NAME LOCK...: exactly what the lock files name, unless they are installed as they
# stand. Wheels only: building one would bring in packages that no lock names.
install_locks() {
  local name=$1 now lock requirements=()
  shift
  now=$(digest "$@")
  [[ "$(cat ".venv/installed/$name" 2>/dev/null)" != "$now" ]] || return 0
  for lock in "$@"; do requirements+=(--requirement "$lock"); done
  say "installing $*"
  pip_install --require-hashes --only-binary :all: "${requirements[@]}" ||
    fail "could not install $*"
  printf '%s\n' "$now" >".venv/installed/$name"
}

# The project from the working tree, as users get it: a wheel, not a link to the sources.
install_project() {
  local now
  now=$(digest pyproject.toml README.md service schema openapi)
  [[ "$(cat .venv/installed/project 2>/dev/null)" != "$now" ]] || return 0
  say "installing the project"
  pip_install --no-index --no-deps --no-build-isolation --force-reinstall . ||
    fail "could not install the project"
  printf '%s\n' "$now" >.venv/installed/project
}
