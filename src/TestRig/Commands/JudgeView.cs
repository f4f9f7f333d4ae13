using Spectre.Console;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>Shows how far a recording was read, in a terminal; then what was found, as of a sweep.</summary>
internal sealed class JudgeView(TextScreen screen)
{
    private readonly SweepView _sweep = new(screen);

    public void Start(Board board, string file)
    {
        screen.Say("Board    ", $"{board.Name}: {Words.Count(board.Channels.Length, "channel")}");
        screen.Say("File     ", file);
        screen.Say();
    }

    /// <param name="length">In bytes; null where nobody knows.</param>
    public Task<RecordingResult> FollowAsync(long? length, Func<IProgress<long>, RecordingResult> judge, CancellationToken cancellation)
    {
        if (!screen.IsLive)
            return ReadAsync(judge, _ => { }, cancellation);
        return screen.Console.Progress().AutoClear(true).StartAsync(context =>
        {
            var bar = context.AddTask("Reading", maxValue: Math.Max(1, length ?? 1));
            bar.IsIndeterminate = length is null;
            return ReadAsync(judge, read => bar.Value = read, cancellation);
        });
    }

    /// <summary>Nobody waits for a pipe that gives nothing: a read of it cannot be cancelled, and is left to itself.</summary>
    private static Task<RecordingResult> ReadAsync(Func<IProgress<long>, RecordingResult> judge, Action<long> show, CancellationToken cancellation) =>
        // Told on the reading thread: a bar takes its value from any.
        Task.Run(() => judge(new ToldAtOnce<long>(show)), CancellationToken.None).WaitAsync(cancellation);

    /// <param name="folder">Null when it does not hold the whole record.</param>
    public void Finish(SweepResult result, RunFolder? folder)
    {
        if (result.Adapter.Firmware.Length > 0)
            screen.Say("Written  ", $"by {result.Adapter.Firmware}");
        var plain = _sweep.PlainProgress();
        foreach (var check in result.Checks)
            plain.Report(check);
        foreach (var channel in result.Channels)
            plain.Report(new ChannelJudged(channel));
        _sweep.Finish(result, folder, inject: null);
    }
}
