using TestRig.Bench.Storage;

namespace TestRig.Bench.Soaking;

/// <summary>What a soak found, sessions before this one included, and how this session ended.</summary>
public sealed record SoakResult : SoakFindings
{
    public SoakResult(SoakFindings findings, RunSession session, SoakEnding ending)
        : base(findings) => (Session, Ending) = (session, ending);

    public RunSession Session { get; }

    public SoakEnding Ending { get; }
}
