namespace TestRig.Core.Diagnosing;

/// <summary>What a person can do so that another sweep tells more.</summary>
public enum SettlingKind
{
    /// <summary>Clip one more lead to a net.</summary>
    Lead,

    /// <summary>Take a part out of its socket, or lift its output pin.</summary>
    Pull,

    /// <summary>Pull a net low through a transistor, instead of commanding the line.</summary>
    Inject,
}
