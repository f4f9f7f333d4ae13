# Completes commands and options of testrig in bash:
#
#   source tools/completion.bash
#
# Where no program testrig is installed, it also makes one of the build in this folder. The program itself knows what can come next.

if ! command -v testrig >/dev/null; then
    _testrig_dll=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)/src/TestRig/bin/Release/net10.0/testrig.dll
    testrig() { dotnet "$_testrig_dll" "$@"; }
fi

_testrig() {
    # The program suggests whatever contains what was typed; a shell wants what begins with it.
    mapfile -t COMPREPLY < <(compgen -W "$(testrig "[suggest:$COMP_POINT]" "$COMP_LINE" 2>/dev/null)" -- "${COMP_WORDS[COMP_CWORD]}")
}

# Where nothing is suggested, files are: a profile, a folder.
complete -o default -F _testrig testrig
