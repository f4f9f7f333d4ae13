namespace TestRig.Benchmarks;

/// <summary>Something of ours timed against a yardstick on the same machine, in turn: only the ratio carries over to another machine.</summary>
/// <param name="Name">What the filter on the command line looks in.</param>
/// <param name="Ratio">What the ratio says, and which way is better.</param>
/// <param name="Goal">The ratio to reach; null where there is none.</param>
/// <param name="Prepare">Builds the data, and hands back what to time. Called only when the comparison is run.</param>
internal sealed record Comparison(string Name, RatioKind Ratio, double? Goal, Func<Contest> Prepare);

/// <summary>The two sides. Each checks its own result, so that a fast wrong answer is not a good one.</summary>
internal sealed record Contest(Action Ours, Action Yardstick);

internal enum RatioKind
{
    /// <summary>Speed as a share of the yardstick's: larger is better.</summary>
    ShareOfYardstick,

    /// <summary>Time as a multiple of the yardstick's: smaller is better.</summary>
    TimesYardstick,
}
