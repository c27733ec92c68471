package wythe.app

import android.Manifest
import android.app.Application
import android.content.Context
import android.content.pm.PackageManager
import android.location.LocationManager
import android.os.SystemClock
import android.security.keystore.KeyGenParameterSpec
import android.security.keystore.KeyProperties
import android.util.Log
import java.io.File
import java.security.GeneralSecurityException
import java.security.KeyStore
import java.security.SecureRandom
import java.util.TimeZone
import javax.crypto.Cipher
import javax.crypto.KeyGenerator
import javax.crypto.SecretKey
import javax.crypto.spec.GCMParameterSpec
import wythe.core.Fix
import wythe.core.KeyBox
import wythe.core.Locator
import wythe.core.LogSink
import wythe.core.PhoneClock
import wythe.core.PhoneTime

/** What the phone owns. */
interface Platform {
    val keys: KeyBox
    val clock: PhoneClock
    val locator: Locator
    val log: LogSink

    /** A token of this installation that no backup holds; without one the folder's own. */
    val instance: ByteArray?
}

/** The phone at hand. */
class Phone(app: Application) : Platform {
    override val keys = StoredKey()
    override val clock = SystemTime()
    override val locator = LastPlace(app)
    override val log = SystemLog()

    override val instance: ByteArray by lazy {
        val file = File(app.noBackupFilesDir, "instance")
        if (!file.exists()) file.writeBytes(ByteArray(INSTANCE_BYTES).also(SecureRandom()::nextBytes))
        file.readBytes()
    }

    private companion object {
        const val INSTANCE_BYTES = 16
    }
}

/** Wraps the device's key with one that the phone's key store does not give out. */
class StoredKey : KeyBox {
    override fun wrap(key: ByteArray): ByteArray {
        val cipher = Cipher.getInstance(CIPHER).apply { init(Cipher.ENCRYPT_MODE, secret()) }
        return cipher.iv + cipher.doFinal(key)
    }

    override fun open(wrapped: ByteArray): ByteArray? = try {
        val start = GCMParameterSpec(TAG_BITS, wrapped, 0, NONCE_BYTES)
        val cipher = Cipher.getInstance(CIPHER).apply { init(Cipher.DECRYPT_MODE, secret(), start) }
        cipher.doFinal(wrapped, NONCE_BYTES, wrapped.size - NONCE_BYTES)
    } catch (_: GeneralSecurityException) {
        null
    } catch (_: IllegalArgumentException) {
        null
    }

    private fun secret(): SecretKey {
        val store = KeyStore.getInstance(STORE).apply { load(null) }
        (store.getKey(NAME, null) as SecretKey?)?.let { return it }
        val purposes = KeyProperties.PURPOSE_ENCRYPT or KeyProperties.PURPOSE_DECRYPT
        val form = KeyGenParameterSpec.Builder(NAME, purposes)
            .setBlockModes(KeyProperties.BLOCK_MODE_GCM)
            .setEncryptionPaddings(KeyProperties.ENCRYPTION_PADDING_NONE)
            .build()
        return KeyGenerator.getInstance(KeyProperties.KEY_ALGORITHM_AES, STORE).apply { init(form) }.generateKey()
    }

    private companion object {
        const val STORE = "AndroidKeyStore"
        const val NAME = "wythe"
        const val CIPHER = "AES/GCM/NoPadding"
        const val NONCE_BYTES = 12
        const val TAG_BITS = 128
    }
}

/** The phone's clock. */
class SystemTime : PhoneClock {
    override fun now(): PhoneTime {
        val now = System.currentTimeMillis()
        return PhoneTime(now, (TimeZone.getDefault().getOffset(now) / MINUTE_MS).toShort())
    }

    private companion object {
        const val MINUTE_MS = 60_000
    }
}

/** The latest place that the phone knows, where the person allows it and it is fresh. */
class LastPlace(private val context: Context) : Locator {
    override fun here(): Fix? {
        val allowed = context.checkSelfPermission(Manifest.permission.ACCESS_FINE_LOCATION)
        if (allowed != PackageManager.PERMISSION_GRANTED) return null
        val manager = context.getSystemService(LocationManager::class.java) ?: return null
        val latest = manager.getProviders(true)
            .mapNotNull { provider -> manager.getLastKnownLocation(provider) }
            .maxByOrNull { place -> place.elapsedRealtimeNanos } ?: return null
        val age = SystemClock.elapsedRealtimeNanos() - latest.elapsedRealtimeNanos
        if (age > FRESH_NS) return null
        val error = if (latest.hasAccuracy()) latest.accuracy.toDouble() else null
        return Fix(latest.latitude, latest.longitude, error)
    }

    private companion object {
        const val FRESH_NS = 120_000_000_000L
    }
}

/** The system's log. The core never writes personal data into it. */
class SystemLog : LogSink {
    override fun note(level: String, text: String) {
        when (level) {
            "error" -> Log.e(TAG, text)
            "warn" -> Log.w(TAG, text)
            else -> Log.i(TAG, text)
        }
    }

    private companion object {
        const val TAG = "wythe"
    }
}
