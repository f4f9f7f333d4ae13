namespace TestRig.Core.Diagnosing;

/// <summary>What is looked at, at one point, through one exercise or beside all of them.</summary>
public enum SightKind
{
    /// <summary>How the sweep ended: its outcome.</summary>
    Ending,

    /// <summary>A supply before anything is driven: off, too low, good, too high.</summary>
    Supply,

    /// <summary>A test point's level while no line is driven: the controller's, a released line's, a stop input's.</summary>
    Released,

    /// <summary>A test point's level while every line idles.</summary>
    Idle,

    /// <summary>What the lead check said: driven, or following.</summary>
    Lead,

    /// <summary>How an exercise ended: to its end, by a stop input, otherwise.</summary>
    Exercise,

    /// <summary>Levels before, during and after the command, and whether it changed more often than between them.</summary>
    Trace,

    /// <summary>The delay of the answer to the command.</summary>
    DelayOn,

    /// <summary>The delay of the answer to the command's end.</summary>
    DelayOff,

    /// <summary>The voltage while commanded: low, undefined, high, unsteady.</summary>
    VoltageOn,

    /// <summary>The voltage when the command is over.</summary>
    VoltageOff,

    /// <summary>Pulses or a contact that the motion gives back.</summary>
    Feedback,

    /// <summary>Whether something changed that only a motion changes.</summary>
    Moved,
}
