namespace TestRig.Pages;

/// <summary>The parts of the service that the navigation leads to.</summary>
public enum FramePlace
{
    /// <summary>Neither: signing in, errors.</summary>
    None,
    Benches,
    Runs,
}
