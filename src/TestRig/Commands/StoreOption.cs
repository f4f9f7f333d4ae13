using System.CommandLine;

namespace TestRig.Commands;

/// <summary>--store, shared by the commands that keep runs, or look at them.</summary>
internal static class StoreOption
{
    public static Option<string?> Create() => new("--store")
    {
        Description = "Where runs are kept: a file, or postgres://user@host/database; by default the file runs.db in your data folder, or what the environment's TESTRIG_STORE names.",
        HelpName = "FILE|URL",
    };
}
