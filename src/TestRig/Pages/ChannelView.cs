namespace TestRig.Pages;

/// <summary>A channel on the page of a run. Texts are parts of a report, as HTML.</summary>
/// <param name="Badge">How it stands, in a word.</param>
/// <param name="IsFaulty">Then all of it is open to be read.</param>
/// <param name="Summary">In sentences.</param>
/// <param name="Plot">Null where it was not exercised.</param>
/// <param name="Findings">Of the sweep, or of the cycle that is shown; empty where there are none.</param>
/// <param name="Figures">Over all cycles; empty where there are none.</param>
/// <param name="Night">The address of the picture of its figures; null where there is none.</param>
/// <param name="Captures">The addresses of its captures by what they are called.</param>
public sealed record ChannelView(string Name, bool IsFaulty, string Badge, string Summary, PlotView? Plot, string Findings, string Figures, string? Night, IReadOnlyList<(string Form, string Address)> Captures);
