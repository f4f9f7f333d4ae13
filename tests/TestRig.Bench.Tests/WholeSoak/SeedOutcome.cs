namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What came of one seed.</summary>
/// <param name="Broken">What must never be so and was; null when everything held.</param>
/// <param name="Cycles">That were acknowledged.</param>
/// <param name="Checks">How often something was held against what must hold.</param>
/// <param name="Processes">How often the program was started.</param>
internal sealed record SeedOutcome(Scenario Scenario, string? Broken, Trace Trace, long Cycles, long Checks, int Processes, FaultCount Faults);
