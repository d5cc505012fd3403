# Installing from nothing, the way the README tells a newcomer to.
make_venv() {
  local python
  for python in python3 python3.13 python3.12 python3.11; do
    "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || continue
    "$python" -m venv "$venv" && "$venv/bin/python" --version
    return
  done
  echo "Ringfold needs Python 3.11 or newer"
  return 1
}

copy_tree() { # a copy, because setuptools leaves its build folder in what it builds
  mkdir -p "$scratch/tree" && cp -R pyproject.toml .pins events service migrations "$scratch/tree"
}

install_project() {
  copy_tree && (cd "$scratch/tree" && "$venv/bin/pip" install -q -c .pins/constraints.txt .) &&
    count_packages
}

try_installed_command() { # proves that the package carries its data and needs no test library
  mkdir -p "$scratch/elsewhere" && cd "$scratch/elsewhere" || return 1
  "$venv/bin/ringfold" place "$top/.ci/sheet.json" && "$venv/bin/ringfold" --version
  local status=$?
  cd "$top" || return 1
  return "$status"
}

every_file_is_packaged() { # a rule book, template or revision that stays behind would be missed late
  local site missing
  site=$("$venv/bin/python" -c 'import sysconfig; print(sysconfig.get_path("purelib"))')
  missing=$(cd "$scratch/tree" && find events service migrations -type f ! -path '*/__pycache__/*' |
    while read -r file; do [ -e "$site/$file" ] || echo "$file"; done)
  [ -z "$missing" ] && return 0
  echo "not in the installed package (see tool.setuptools in pyproject.toml):"
  echo "$missing"
  return 1
}

install_extras() {
  (cd "$scratch/tree" && "$venv/bin/pip" install -q -c .pins/constraints.txt '.[test,check]') &&
    count_packages
}

count_packages() { echo "$("$venv/bin/pip" freeze | wc -l) packages"; }

every_installed_version_is_pinned() {
  local stray
  stray=$(comm -23 <("$venv/bin/pip" freeze --exclude ringfold | plain_names) \
    <(grep -E '^[a-z]' .pins/constraints.txt | plain_names))
  [ -z "$stray" ] && return 0
  echo "installed, but not as pinned in .pins/constraints.txt:"
  echo "$stray"
  return 1
}

plain_names() { tr 'A-Z_.' 'a-z--' | sort; } # one spelling for both lists; dots in versions too
