using System.ComponentModel;
using System.Diagnostics;

namespace TestRig.Commands;

/// <summary>Shows a file in whatever program this computer's desktop has for its kind.</summary>
internal static class DesktopViewer
{
    /// <summary>An opener that refuses does so at once; one that still runs then is showing the file.</summary>
    private static readonly TimeSpan _timeToRefuse = TimeSpan.FromSeconds(5);

    /// <returns>Null when the desktop took the file; else why it is not shown, for the end of a sentence.</returns>
    public static async Task<string?> OpenAsync(string file)
    {
        if (OperatingSystem.IsLinux() && !HasDesktop())
            return "no desktop here";
        try
        {
            using var opener = Process.Start(Opener(file));
            // Windows may hand the file to a viewer that runs already.
            if (opener is null)
                return null;
            using var patience = new CancellationTokenSource(_timeToRefuse);
            try
            {
                await opener.WaitForExitAsync(patience.Token);
            }
            catch (OperationCanceledException)
            {
                return null;
            }
            return opener.ExitCode == 0 ? null : $"the desktop's opener ended with code {opener.ExitCode}";
        }
        catch (Win32Exception cause)
        {
            return cause.Message.TrimEnd('.');
        }
    }

    private static bool HasDesktop() =>
        !string.IsNullOrEmpty(Environment.GetEnvironmentVariable("DISPLAY")) || !string.IsNullOrEmpty(Environment.GetEnvironmentVariable("WAYLAND_DISPLAY"));

    private static ProcessStartInfo Opener(string file) => OperatingSystem.IsWindows()
        ? new(file) { UseShellExecute = true }
        // What the viewer has to say must not get between the lines of our own output.
        : new("sh", ["-c", "exec \"$0\" \"$1\" >/dev/null 2>&1", OperatingSystem.IsMacOS() ? "open" : "xdg-open", file]);
}
