using System.CommandLine;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>--store, shared by the commands that keep runs, or look at them.</summary>
internal static class StoreOption
{
    public static Option<string?> Create() => new("--store")
    {
        Description = "Where runs are kept: a file, or postgres://user@host/database; by default the file runs.db in your data folder, or what the environment's TESTRIG_STORE names.",
        HelpName = "FILE|URL",
    };

    /// <summary>What a command that is told to a person has to say of the store, with a blank in front: nothing where it is the usual one, and never a password.</summary>
    /// <param name="written">As the user wrote it; null where nothing was written.</param>
    public static string Again(string? written, IRunStore store) => written is null ? "" : $" --store {store.Place}";
}
