namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Shares of what is sent at once, 0 to 1, to which each happens.</summary>
/// <param name="Lost">Up to eight bytes are missing.</param>
/// <param name="Damaged">One bit is another.</param>
/// <param name="Twice">It comes twice.</param>
/// <param name="Late">It is up on its way for up to 400 ms longer.</param>
internal sealed record WireFaults(double Lost, double Damaged, double Twice, double Late)
{
    public static WireFaults None { get; } = new(0, 0, 0, 0);
}
