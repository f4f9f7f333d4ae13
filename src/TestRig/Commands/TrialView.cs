using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Probing;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Core.Trials;

namespace TestRig.Commands;

/// <summary>A trial while it goes on: what to put into the socket, and what came of it.</summary>
internal sealed class TrialView(TextScreen screen, SweepView view, ProbeKeys keys)
{
    private const string Legend = "Enter = it is in, s = skip this part, q = that was the last one";

    private readonly TrialTable _table = new(screen);

    public void Cautions(Board board) => view.Cautions(board, ExerciseMode.LogicOnly);

    public void Begin(Board board, AdapterIdentity adapter, IsolatorType claimed)
    {
        view.Start(board, adapter);
        screen.Say("Type     ", $"{claimed.Name}, {claimed.Description}: what the parts are said to be.");
        if (!keys.IsUnattended)
            screen.Say("Keys     ", Legend + ".");
    }

    public async Task<ProbeAnswer> AskEmptyAsync(CancellationToken cancellation)
    {
        screen.Say("Socket   ", $"Take any part out, and close the socket. First comes what the adapter's own pins leak.{(keys.IsUnattended ? "" : " Enter when it is empty.")}");
        return await keys.AskAsync(cancellation);
    }

    public void Empty(Volts emitter) => screen.Say("  empty  ", $"{emitter} at the emitter; it is taken off each leakage.");

    /// <summary>From here on nothing is lost that was told.</summary>
    public void Kept(string run, IRunStore store)
    {
        screen.Say("Run      ", $"{run}: each part is kept in {store.Place} before the next is asked for.");
        screen.Say();
    }

    public async Task<ProbeAnswer> AskAsync(int number, CancellationToken cancellation)
    {
        if (!keys.IsUnattended)
            screen.Say(string.Create(CultureInfo.InvariantCulture, $"Part {number,-4}"), "Put it in, pin 1 at the socket's pin 1.");
        _table.Head();
        return await keys.AskAsync(cancellation);
    }

    public void Tell(PartTrial part) => _table.Tell(part);

    /// <param name="folder">Null when it does not hold the whole record.</param>
    /// <param name="again">The command that tells it again from the store.</param>
    public void Finish(TrialResult result, RunFolder? folder, string again)
    {
        _table.Conclude(result);
        screen.Say("Again    ", again);
        if (folder is not null)
            screen.Say("Record   ", $"{SweepView.PathToShow(folder.Path)} ({KeptTrial.Files}, run.log)");
    }
}
