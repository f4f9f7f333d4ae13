namespace TestRig.Pages;

/// <summary>What is written in the filter of the list of runs.</summary>
public sealed record RunListForm(string? Board, string? Serial, string? Condition, string? Kind, string? Failed, string? Since, string? Until);
