namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Shares of requests, 0 to 1, to which each happens.</summary>
/// <param name="Slow">It takes up to 20 s.</param>
/// <param name="Full">Of appended cycles: nothing is stored.</param>
/// <param name="AnswerLost">Of appended cycles: it is stored, and the program is told that it failed.</param>
/// <param name="Killed">Of appended cycles: it is stored, and the program is killed before it is told.</param>
internal sealed record StoreFaults(double Slow, double Full, double AnswerLost, double Killed)
{
    public static StoreFaults None { get; } = new(0, 0, 0, 0);

    public StoreFault Planted { get; init; }
}
