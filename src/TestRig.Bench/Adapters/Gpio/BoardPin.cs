namespace TestRig.Bench.Adapters.Gpio;

/// <summary>A pin of a board that the host times.</summary>
/// <param name="Number">The driver's number of it.</param>
/// <param name="PullsUp">It has a pull-up that can be switched on.</param>
/// <param name="PullsDown">It has a pull-down that can be switched on.</param>
/// <param name="Channel">Of the converter; null where no voltage can be read.</param>
internal sealed record BoardPin(string Name, int Number, bool IsInput, bool IsOutput, bool PullsUp, bool PullsDown, int? Channel)
{
    /// <summary>Every input can be a stop input: the host looks at all of them alike.</summary>
    public AdapterPin Described => new(Name, Line: IsOutput, Sense: IsInput, Analog: Channel is not null, Stop: IsInput, Select: IsOutput) { CanCheckLead = IsInput };
}
