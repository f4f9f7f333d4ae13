namespace TestRig.Service;

/// <summary>Names of the rights, as endpoints ask for them.</summary>
internal static class AccessPolicy
{
    public const string Read = "read";

    /// <summary>By whatever means somebody signed in: a form of the page, which is protected against forgery by itself.</summary>
    public const string Drive = "drive";

    /// <summary>By a token in the request itself: no browser adds it to a request that another site made it send.</summary>
    public const string DriveByToken = "drive-by-token";

    /// <summary>The claim that holds one right.</summary>
    public const string RightClaim = "right";
}
